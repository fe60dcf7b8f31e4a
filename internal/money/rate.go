package money

import (
	"strings"

	"benchtag/internal/fault"
)

// PPM is a rate in integer parts per million: 200000 is 20 %, 88750 is
// 8.875 %.
type PPM int64

// Million is the rate of 100 %.
const Million PPM = 1_000_000

// Of gives the rate's share of an amount, a·p/10^6, rounded once by the rule.
func (p PPM) Of(a Amount, r Rounding) (Amount, error) {
	return MulRatio(a, int64(p), int64(Million), r)
}

// Within gives the part of a gross amount that a tax at this rate makes up,
// gross·p/(10^6+p), rounded once by the rule. Requires p between 0 and 10^12,
// else money.rate_invalid.
func (p PPM) Within(gross Amount, r Rounding) (Amount, error) {
	if p < 0 || p > Million*Million {
		return 0, fault.New(fault.Meaning, "money.rate_invalid", "Give a tax rate of zero or more.")
	}
	return MulRatio(gross, int64(p), int64(Million+p), r)
}

// Percent writes the rate in percent without trailing zeros, such as "20 %"
// or "8.875 %".
func (p PPM) Percent() string {
	text := strings.TrimRight(decimal(magnitude(int64(p)), 4), "0")
	text = strings.TrimSuffix(text, ".") + " %"
	if p < 0 {
		return "-" + text
	}
	return text
}
