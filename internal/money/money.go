// Package money holds exact amounts of one currency as integers of its
// smallest unit, and the named rules by which they are rounded and shared.
//
// It decides how text becomes an amount and back, when arithmetic no longer
// fits, and where the odd cent goes. It does not convert between currencies,
// knows no locale and never touches a float.
package money

import (
	"math"
	"math/bits"

	"benchtag/internal/fault"
)

// Amount is a sum of money in minor units (cents, pence, yen, fils) of a
// currency that its holder knows; negative amounts are owed the other way.
// The full int64 range is valid.
type Amount int64

// errTooLarge is the one error of arithmetic that leaves the int64 range.
func errTooLarge() error {
	return fault.New(fault.Meaning, "money.amount_too_large",
		"The amount is too large to be reckoned with; check the prices and quantities.")
}

// Add gives a+b, or a money.amount_too_large error outside the int64 range.
func (a Amount) Add(b Amount) (Amount, error) {
	sum := a + b
	if (sum > a) != (b > 0) {
		return 0, errTooLarge()
	}
	return sum, nil
}

// Sub gives a-b, or a money.amount_too_large error outside the int64 range.
func (a Amount) Sub(b Amount) (Amount, error) {
	diff := a - b
	if (diff < a) != (b > 0) {
		return 0, errTooLarge()
	}
	return diff, nil
}

// Mul gives a times a whole count, or a money.amount_too_large error outside
// the int64 range.
func (a Amount) Mul(count int64) (Amount, error) {
	hi, lo := bits.Mul64(magnitude(int64(a)), magnitude(count))
	if hi != 0 {
		return 0, errTooLarge()
	}
	return signed(lo, (a < 0) != (count < 0))
}

// Sum adds amounts in order, or gives a money.amount_too_large error as soon
// as a partial sum leaves the int64 range. The sum of none is 0.
func Sum(amounts ...Amount) (Amount, error) {
	var total Amount
	for _, a := range amounts {
		next, err := total.Add(a)
		if err != nil {
			return 0, err
		}
		total = next
	}
	return total, nil
}

// magnitude is |n|, exact for the smallest int64 too.
func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// signed puts a sign back on a magnitude, if the result is an int64.
func signed(size uint64, negative bool) (Amount, error) {
	switch {
	case negative && size <= 1<<63:
		return Amount(-size), nil
	case !negative && size <= math.MaxInt64:
		return Amount(size), nil
	}
	return 0, errTooLarge()
}
