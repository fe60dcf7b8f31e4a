package figures

import (
	"slices"
	"strconv"
	"strings"
	"time"
)

// Span is a length of time in microseconds. In JSON it is decimal text in
// seconds, exact.
type Span int64

// spanOf gives the time between two instants of whole microseconds.
func spanOf(from, to time.Time) Span { return Span(to.Sub(from).Microseconds()) }

// MarshalText writes seconds, without trailing zeros.
func (s Span) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// String is the same, for a sentence.
func (s Span) String() string {
	sign := ""
	if s < 0 {
		sign, s = "-", -s
	}
	const second = 1_000_000
	text := sign + strconv.FormatInt(int64(s/second), 10)
	if rest := s % second; rest != 0 {
		text += "." + strings.TrimRight(strconv.FormatInt(int64(second+rest), 10)[1:], "0")
	}
	return text
}

// part gives a share of a total; nil for no total.
func part(of, total Span) *Number {
	if total == 0 {
		return nil
	}
	return some(float64(of) / float64(total))
}

// median gives the middle one, the mean of the two in the middle for an even
// number; nought for none.
func median(all []Span) Span {
	if len(all) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(all))
	n := len(sorted)
	low, high := sorted[(n-1)/2], sorted[n/2]
	return low + (high-low)/2
}
