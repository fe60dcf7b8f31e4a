package measure

import "strings"

// Quantity is a value in a unit, and the text it was read from.
type Quantity struct {
	Value   Decimal
	Unit    Unit
	Entered string // as typed, without the blanks around it; "" when it came as value and unit
}

// String gives value and unit as on a screen.
func (q Quantity) String() string {
	symbol := q.Unit.Symbol()
	if symbol == "%" || symbol == "°" {
		return q.Value.String() + symbol
	}
	return q.Value.String() + q.Unit.shown()
}

// ParseValue reads a quantity in its strict form: value as ParseDecimal
// takes it, unit as ParseUnit does.
func ParseValue(value, unit string) (Quantity, error) {
	d, err := ParseDecimal(value)
	if err != nil {
		return Quantity{}, err
	}
	u, err := ParseUnit(unit)
	if err != nil {
		return Quantity{}, err
	}
	return Quantity{Value: d, Unit: u}, nil
}

// Parts is a quantity as it travels: value with unit, or the text entered,
// or both.
type Parts struct {
	Value, Unit, Entered string
}

// Read takes a quantity from its parts. When both value with unit and the
// text entered are there, they must say the same, digit for digit; else
// the fault is entry_contradicts.
func Read(p Parts) (Quantity, error) {
	if p.Value == "" && p.Unit == "" {
		return Parse(p.Entered)
	}
	strict, err := ParseValue(p.Value, p.Unit)
	if err != nil || p.Entered == "" {
		return strict, err
	}
	typed, err := Parse(p.Entered)
	if err != nil {
		return Quantity{}, err
	}
	if typed.Value != strict.Value || typed.Unit != strict.Unit {
		return Quantity{}, problem(EntryContradicts, "The text entered reads as "+typed.Value.String()+" "+string(typed.Unit)+
			", but value and unit say "+strict.Value.String()+" "+string(strict.Unit)+". Send one of them, or make them agree.")
	}
	return typed, nil
}

const maxEntry = 64 // bytes of text entered

// Parse reads what a person typed: a number, then a unit in a trade
// spelling or as a UCUM code.
//
// Numbers: decimal point or comma, blanks between groups of three digits
// before the mark, a leading sign, fractions ("1/16", "1 3/8", "1-3/8",
// "1½") that have a finite decimal. The digits stay as typed.
//
// A comma alone is a decimal mark. Point and comma together are refused,
// and so is "26,000" where thousands are as likely meant: one to three
// digits, not starting with 0, before the comma and exactly three behind
// it, in km or rpm or any unit of inch and pound.
func Parse(entered string) (Quantity, error) {
	text := strings.Trim(plain(entered), " ")
	if text == "" {
		return Quantity{}, problem(EntryEmpty, "Enter a number and a unit, like 0.250 mm.")
	}
	if len(entered) > maxEntry {
		return Quantity{}, problem(EntryTooLong, "Enter a number and a unit alone, at most 64 characters.")
	}
	number, name := cut(text)
	if number == "" {
		return Quantity{}, problem(NumberMissing, "Start with a number, like 0.250 mm.")
	}
	if name == "" {
		return Quantity{}, problem(UnitMissing, "Add the unit, like "+number+" mm.")
	}
	unit, known := spelled(name)
	if !known {
		return Quantity{}, unknownUnit(name)
	}
	value, err := parseNumber(number, unit)
	if err != nil {
		return Quantity{}, err
	}
	return Quantity{Value: value, Unit: unit, Entered: strings.Trim(entered, " \u00a0\u202f\u2009")}, nil
}

// plain puts look-alike characters into one form.
func plain(s string) string {
	return strings.NewReplacer(
		"\u00a0", " ", "\u202f", " ", "\u2009", " ", // no-break, narrow and thin space
		"\u2212", "-", "\u2044", "/", // minus sign, fraction slash
		"½", " 1/2", "¼", " 1/4", "¾", " 3/4",
		"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
		"\u00b5", "u", "\u03bc", "u", // micro sign, Greek mu
		"\u2126", "Ohm", "\u03a9", "Ohm", // ohm sign, Greek omega
		"℃", "°C", "℉", "°F", "²", "2", "³", "3", "″", `"`, "”", `"`,
	).Replace(s)
}

// cut parts number and unit: the number is what comes before the first
// character that no number holds. "3000 1/min" is how drawings write rpm.
func cut(text string) (number, name string) {
	front, found := strings.CutSuffix(text, " 1/min")
	if found {
		return strings.TrimRight(front, " "), "rpm"
	}
	end := 0
	for end < len(text) && strings.IndexByte("0123456789.,/+- ", text[end]) >= 0 {
		end++
	}
	return strings.TrimRight(text[:end], " "), text[end:]
}

// parseNumber reads the number; the unit only settles whether a comma is plain.
func parseNumber(text string, unit Unit) (Decimal, error) {
	body, negative := strings.CutPrefix(text, "-")
	if !negative {
		body = strings.TrimPrefix(body, "+")
	}
	body = strings.TrimLeft(body, " ")
	if strings.Contains(body, "/") {
		return parseFraction(negative, body)
	}
	points, commas := strings.Count(body, "."), strings.Count(body, ",")
	if points+commas > 1 {
		return Decimal{}, problem(SeparatorsAmbiguous, "Use one decimal mark and nothing between the thousands: 1234.5.")
	}
	whole, part, marked := strings.Cut(strings.ReplaceAll(body, ",", "."), ".")
	if commas == 1 && thousandsLikely(unit) && looksGrouped(whole, part) {
		return Decimal{}, problem(SeparatorsAmbiguous, "The comma could part thousands. Write "+whole+part+" or "+whole+"."+part+".")
	}
	joined, ok := ungroup(whole)
	if !ok || (marked && !allDigits(part)) || (!marked && whole == "") {
		return Decimal{}, malformedNumber()
	}
	return newDecimal(negative, joined, part)
}

func malformedNumber() error {
	return problem(NumberMalformed, "The number cannot be read. Write it like 0.250, 42000 or 1 3/8.")
}

func looksGrouped(whole, part string) bool {
	return len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' && len(part) == 3
}

// thousandsLikely reports units whose users part thousands by a comma, or
// whose values run into thousands (odometers, speeds of rotation). Common
// practice, no source.
func thousandsLikely(u Unit) bool {
	return u == Kilometre || u == PerMinute || u == Fahrenheit || strings.HasPrefix(string(u), "[")
}

// ungroup joins "42 000"; a whole part may be missing, as in ".25".
func ungroup(whole string) (string, bool) {
	if whole == "" {
		return "0", true
	}
	groups := strings.Split(whole, " ")
	for i, g := range groups {
		if !allDigits(g) || (i > 0 && len(g) != 3) || (len(groups) > 1 && len(g) > 3) {
			return "", false
		}
	}
	return strings.Join(groups, ""), true
}

// parseFraction reads "3/8", "1 3/8" and "1-3/8".
func parseFraction(negative bool, text string) (Decimal, error) {
	const most = 4 // digits of each number in a fraction: 9999/10000 needs no more
	text = strings.Replace(text, "-", " ", 1)
	fields := strings.Fields(text)
	if len(fields) < 1 || len(fields) > 2 {
		return Decimal{}, malformedNumber()
	}
	top, bottom, _ := strings.Cut(fields[len(fields)-1], "/")
	whole := "0"
	if len(fields) == 2 {
		whole = fields[0]
	}
	for _, digits := range []string{whole, top, bottom} {
		if !allDigits(digits) || len(digits) > most {
			return Decimal{}, malformedNumber()
		}
	}
	return fraction(negative, small(whole), [2]uint64{small(top), small(bottom)})
}

// small reads a few digits that are known to be digits.
func small(digits string) uint64 {
	n := uint64(0)
	for i := range len(digits) {
		n = n*10 + uint64(digits[i]-'0')
	}
	return n
}

// fraction gives whole + of[0]/of[1] with as few digits as it needs.
func fraction(negative bool, whole uint64, of [2]uint64) (Decimal, error) {
	top, bottom := of[0], of[1]
	if bottom == 0 {
		return Decimal{}, malformedNumber()
	}
	top += whole * bottom
	for scale := range maxScale + 1 {
		if n := top * pow10(scale); n%bottom == 0 && n/bottom < pow10(maxDigits) && top <= ^uint64(0)/pow10(scale) {
			return Decimal{negative: negative && top != 0, digits: n / bottom, scale: uint8(scale)}, nil
		}
	}
	return Decimal{}, problem(FractionEndless, "This fraction has no finite decimal. Enter the decimal as it was read.")
}
