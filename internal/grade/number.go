package grade

import (
	"math"
	"strconv"
	"strings"

	"benchtag/internal/measure"
)

// float gives a decimal as a binary fraction, for figures that are shown and
// never compared with a limit.
func float(d measure.Decimal) float64 {
	f, err := strconv.ParseFloat(d.String(), 64)
	if err != nil {
		return math.NaN()
	}
	return f
}

// decimal writes a number with at most so many places, without trailing zeros.
func decimal(f float64, places int) string {
	text := strconv.FormatFloat(f, 'f', places, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
	}
	if text == "-0" {
		return "0"
	}
	return text
}
