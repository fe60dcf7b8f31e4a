package money

import (
	"math/bits"

	"benchtag/internal/fault"
)

// Rounding names a rule for making a whole number of minor units, or of cash
// steps, out of an exact value. Every rule works on the magnitude, so that
// -x rounds to minus what x rounds to.
type Rounding string

// The rules. The first four round to one minor unit; those called to_n round
// to the nearest n minor units, ties away from zero, for payment in cash
// where smaller coins are gone (which step a country uses: local practice).
const (
	HalfUp   Rounding = "half_up"   // nearest, ties away from zero
	HalfEven Rounding = "half_even" // nearest, ties to the even neighbour
	Down     Rounding = "down"      // toward zero
	Up       Rounding = "up"        // away from zero
	To5      Rounding = "to_5"      // nearest 5 minor units
	To10     Rounding = "to_10"     // nearest 10 minor units
	To50     Rounding = "to_50"     // nearest 50 minor units
	To100    Rounding = "to_100"    // nearest 100 minor units
)

// Roundings lists every rule.
func Roundings() []Rounding {
	return []Rounding{HalfUp, HalfEven, Down, Up, To5, To10, To50, To100}
}

// Step is the number of minor units a result of the rule is a multiple of:
// 1, or the cash step; 0 for a name that is no rule.
func (r Rounding) Step() int64 {
	switch r {
	case HalfUp, HalfEven, Down, Up:
		return 1
	case To5:
		return 5
	case To10:
		return 10
	case To50:
		return 50
	case To100:
		return 100
	}
	return 0
}

// Cash reports whether the rule rounds to a cash step of several minor units.
func (r Rounding) Cash() bool { return r.Step() > 1 }

// ParseRounding takes the name of a rule; anything else is a
// money.rounding_unknown error.
func ParseRounding(text string) (Rounding, error) {
	r := Rounding(text)
	if r.Step() == 0 {
		return "", fault.New(fault.Meaning, "money.rounding_unknown",
			"Name the rounding rule: half_up, half_even, down, up, to_5, to_10, to_50 or to_100.")
	}
	return r, nil
}

// Words says the rule in plain words, for a working that people read.
func (r Rounding) Words() string {
	switch r {
	case HalfUp:
		return "to the nearest, halves up"
	case HalfEven:
		return "to the nearest, halves to even"
	case Down:
		return "down"
	case Up:
		return "up"
	case To5, To10, To50, To100:
		return "to the nearest cash step, halves up"
	}
	return string(r)
}

// Round gives a by the rule: itself for a rule of one minor unit, else the
// nearest cash step.
func (a Amount) Round(r Rounding) (Amount, error) { return MulRatio(a, 1, 1, r) }

// MulRatio gives a·num/den, exact to 128 bits and rounded once by the rule.
// Requires den > 0 (else money.ratio_invalid) and a known rule (else
// money.rounding_unknown); a result outside the int64 range is
// money.amount_too_large.
func MulRatio(a Amount, num, den int64, r Rounding) (Amount, error) {
	if den <= 0 {
		return 0, fault.New(fault.Meaning, "money.ratio_invalid", "The ratio needs a divisor above zero.")
	}
	if _, err := ParseRounding(string(r)); err != nil {
		return 0, err
	}
	hi, lo := bits.Mul64(magnitude(int64(a)), magnitude(num))
	if hi >= uint64(den) {
		return 0, errTooLarge()
	}
	whole, rest := bits.Div64(hi, lo, uint64(den))
	size, carry := roundSize(division{whole: whole, rest: rest, by: uint64(den)}, r)
	if carry {
		return 0, errTooLarge()
	}
	return signed(size, (a < 0) != (num < 0))
}

// division is an exact magnitude, whole + rest/by with 0 <= rest < by.
type division struct{ whole, rest, by uint64 }

// roundSize rounds a magnitude by a known rule; carry reports that the
// result does not fit 64 bits.
func roundSize(d division, r Rounding) (size uint64, carry bool) {
	step := uint64(r.Step())
	size = d.whole - d.whole%step
	if !d.raises(r) {
		return size, false
	}
	size, over := bits.Add64(size, step, 0)
	return size, over != 0
}

// raises reports whether the rule goes to the step above d rather than the
// one below.
func (d division) raises(r Rounding) bool {
	half := d.by - d.rest // rest/by >= 1/2 exactly when rest >= half, without overflow
	switch r {
	case Down:
		return false
	case Up:
		return d.rest > 0
	case HalfEven:
		return d.rest > half || d.rest == half && d.whole%2 == 1
	}
	step := uint64(r.Step())
	twice := 2 * (d.whole % step)
	// An odd step has its middle between two whole numbers, where the rest decides.
	return twice >= step || twice+1 == step && d.rest >= half
}
