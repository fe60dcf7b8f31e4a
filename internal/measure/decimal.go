// Package measure holds quantities as they were read: a decimal number with
// the digits that were typed, a unit of the Unified Code for Units of
// Measure (UCUM), and the text as entered.
//
// It decides how trade spellings are read, and converts and compares
// exactly, in integers. Derive makes figures of readings with a budget of their
// uncertainty (JCGM 100:2008): sums, means, differences and percentages are
// exact as well, and lengths settle in whole nanometres. Binary fractions enter
// only where a formula has roots or angles (gears, chains, bolts, the life of
// bearings) and in uncertainties. It does not decide whether a reading is
// good: that is grade's.
//
// The package also runs on tablets, so it does without fmt, encoding/json,
// math/big and regexp.
package measure

import (
	"strconv"
	"strings"
)

const (
	maxDigits = 18 // significant digits of a Decimal
	maxScale  = 12 // digits behind the decimal mark
)

// Decimal is an exact decimal number with its trailing zeros: 0.250 and
// 0.25 are different Decimals of one value. At most 18 significant digits,
// at most 12 of them behind the mark. The zero Decimal is 0.
type Decimal struct {
	negative bool // never set when digits is 0
	digits   uint64
	scale    uint8
}

// ParseDecimal reads a number in its strict form: an optional minus sign,
// digits without leading zeros, and behind a point at least one digit. No
// exponent, no plus sign, no separators. A negative zero loses its sign.
func ParseDecimal(text string) (Decimal, error) {
	body, negative := strings.CutPrefix(text, "-")
	whole, part, pointed := strings.Cut(body, ".")
	if !allDigits(whole) || (pointed && !allDigits(part)) || (len(whole) > 1 && whole[0] == '0') {
		return Decimal{}, problem(NumberMalformed, "Write the number with digits and a decimal point, like 0.250.")
	}
	return newDecimal(negative, whole, part)
}

// newDecimal joins digit strings that are known to hold digits alone.
func newDecimal(negative bool, whole, part string) (Decimal, error) {
	significant := strings.TrimLeft(whole+part, "0")
	if len(significant) > maxDigits || len(part) > maxScale {
		return Decimal{}, problem(NumberTooLong, "Write at most 18 digits, and at most 12 behind the decimal mark.")
	}
	digits, err := strconv.ParseUint("0"+significant, 10, 64)
	if err != nil {
		return Decimal{}, problem(NumberMalformed, "Write the number with digits alone.")
	}
	return Decimal{negative: negative && digits != 0, digits: digits, scale: uint8(len(part))}, nil
}

func allDigits(s string) bool {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s != ""
}

// String gives the strict form, trailing zeros kept.
func (d Decimal) String() string {
	text := strconv.FormatUint(d.digits, 10)
	scale := int(d.scale)
	if len(text) <= scale {
		text = strings.Repeat("0", scale-len(text)+1) + text
	}
	if scale > 0 {
		text = text[:len(text)-scale] + "." + text[len(text)-scale:]
	}
	if d.negative {
		return "-" + text
	}
	return text
}

// Sign gives -1, 0 or +1.
func (d Decimal) Sign() int {
	if d.digits == 0 {
		return 0
	}
	if d.negative {
		return -1
	}
	return 1
}

// Scale gives the number of digits behind the decimal mark, which tells the
// last place that was read.
func (d Decimal) Scale() int { return int(d.scale) }

// trimmed drops trailing zeros behind the mark.
func (d Decimal) trimmed() Decimal {
	for d.scale > 0 && d.digits%10 == 0 {
		d.digits /= 10
		d.scale--
	}
	return d
}

// pow10 gives ten to the n; requires 0 <= n <= 19.
func pow10(n int) uint64 {
	p := uint64(1)
	for range n {
		p *= 10
	}
	return p
}
