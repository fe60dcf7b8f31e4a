package money

import (
	"strconv"
	"strings"

	"benchtag/internal/fault"
)

// Parse reads strict decimal text such as "1234.50", "-3" or "0.5" into
// minor units. The grammar is that of a JSON number (RFC 8259, section 6)
// without exponent: no plus sign, space, separator, leading zero or bare
// point. Fewer decimals than the currency has are fine, more are
// money.amount_too_fine, other text is money.amount_unreadable, and a value
// outside the int64 range is money.amount_too_large.
func Parse(text string, currency Currency) (Amount, error) {
	if !currency.Known() {
		_, err := ParseCurrency(string(currency))
		return 0, err
	}
	unsigned, negative := strings.CutPrefix(text, "-")
	whole, part, pointed := strings.Cut(unsigned, ".")
	if !wellFormed(whole) || pointed && !allDigits(part) {
		return 0, errUnreadable()
	}
	digits := currency.Digits()
	if len(part) > digits {
		return 0, fault.New(fault.Meaning, "money.amount_too_fine",
			"Give the amount with at most "+strconv.Itoa(digits)+" decimals; "+string(currency)+" has no smaller unit.")
	}
	size, err := strconv.ParseUint(whole+part+strings.Repeat("0", digits-len(part)), 10, 64)
	if err != nil {
		return 0, errTooLarge()
	}
	return signed(size, negative)
}

func errUnreadable() error {
	return fault.New(fault.Meaning, "money.amount_unreadable",
		"Give the amount as plain digits with a point for the decimals, such as 1234.50.")
}

// wellFormed reports whether text is digits without a leading zero.
func wellFormed(text string) bool {
	return allDigits(text) && (text == "0" || text[0] != '0')
}

// allDigits reports whether text is one or more ASCII digits.
func allDigits(text string) bool {
	for i := range len(text) {
		if text[i] < '0' || text[i] > '9' {
			return false
		}
	}
	return text != ""
}

// Text writes the amount with all digits of its currency, "-" in front if
// negative, and without grouping: what Parse reads back to the same amount.
func (a Amount) Text(currency Currency) string {
	text := decimal(magnitude(int64(a)), currency.Digits())
	if a < 0 {
		return "-" + text
	}
	return text
}

// decimal writes size / 10^digits with exactly that many decimals.
func decimal(size uint64, digits int) string {
	text := strconv.FormatUint(size, 10)
	if digits == 0 {
		return text
	}
	if short := digits + 1 - len(text); short > 0 {
		text = strings.Repeat("0", short) + text
	}
	point := len(text) - digits
	return text[:point] + "." + text[point:]
}
