// Package figures counts over jobs that are closed, or nearly: time in each
// stage and whose move it waited on, hours sold against hours worked, answers of
// customers, comebacks, first causes, wear against distance, risk numbers.
//
// It reckons over rows that are handed in and knows no database and no clock:
// where a row has no end, the time up to which to count is handed in too. It
// decides nothing about people: a figure from a few rows comes with its
// interval, or as "no data".
package figures

import (
	"math"
	"strconv"

	"benchtag/internal/fault"
)

// Number is a reckoned figure. In JSON it is decimal text of at most ten
// significant digits.
type Number float64

// MarshalText writes the number without an exponent. Fault:
// figures.result_endless for what is no finite number, which is a defect here.
func (n Number) MarshalText() ([]byte, error) {
	f := float64(n)
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return nil, fault.New(fault.Internal, "figures.result_endless", "A figure came out without end.")
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(f, 'e', 9, 64), 64)
	if err != nil || rounded == 0 {
		return []byte("0"), err
	}
	return strconv.AppendFloat(nil, rounded, 'f', -1, 64), nil
}

// String is the number as in JSON, for a sentence.
func (n Number) String() string {
	text, err := n.MarshalText()
	if err != nil {
		return "no data"
	}
	return string(text)
}

// some gives a pointer to a figure, nil for what is no finite number.
func some(f float64) *Number {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return nil
	}
	n := Number(f)
	return &n
}

// Interval is a low and a high end.
type Interval struct {
	Low  Number `json:"low"`
	High Number `json:"high"`
}

// Level is the confidence of intervals, between 0 and 1; DefaultLevel where
// nobody says.
type Level float64

// DefaultLevel is 95 %.
const DefaultLevel Level = .95

// check reports a fault unless the level is inside (0, 1), with room for the
// quantiles.
func (l Level) check() error {
	if !(l >= .5 && l <= .9999) {
		return invalid("level_outside", "/level", "Give a level from 0.5 to 0.9999, such as 0.95.")
	}
	return nil
}

// upper is the probability below the upper end of a two-sided interval.
func (l Level) upper() float64 { return (1 + float64(l)) / 2 }

// MostRows is how many rows of one kind are taken at once.
const MostRows = 20_000

func bounded(pointer string, n int) error {
	if n > MostRows {
		return invalid("rows_too_many", pointer, "Give at most "+strconv.Itoa(MostRows)+" rows; choose a shorter span of time.")
	}
	return nil
}

func invalid(code, pointer, message string) error {
	return fault.Invalid("figures."+code, pointer, message)
}

// row points at a row of a list, and at a member of it.
func row(list string, i int, member string) string {
	return "/" + list + "/" + strconv.Itoa(i) + "/" + member
}
