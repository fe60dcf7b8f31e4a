package estimate

import (
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/money"
)

// Ends is a sum at least and at most, in minor units of one currency, both
// zero or more and Low no larger than High.
type Ends struct {
	Low  money.Amount `json:"low_minor"`
	High money.Amount `json:"high_minor"`
}

// EndsOf takes what is paid at both ends of a document.
func EndsOf(t Totals) Ends { return Ends{t.Low.Gross, t.High.Gross} }

// check refuses sums that cannot be meant.
func (e Ends) check(where string) error {
	if e.Low < 0 || e.High < e.Low {
		return fault.Invalid("estimate.ends_invalid", where, "Give low and high, zero or more, low no larger than high.")
	}
	return nil
}

// Cost is the cost of waiting.
type Cost struct {
	Early Ends `json:"early"`
	Late  Ends `json:"late"`
	// DifferenceLow and DifferenceHigh are late less early at each end;
	// below zero where waiting would be cheaper by these figures.
	DifferenceLow  money.Amount `json:"difference_low_minor"`
	DifferenceHigh money.Amount `json:"difference_high_minor"`
	// FactorLow and FactorHigh are late over early at each end, decimal text
	// to two places, halves up; "" where early is zero.
	FactorLow  string   `json:"factor_low"`
	FactorHigh string   `json:"factor_high"`
	Working    []string `json:"-"`
	Warnings   []string `json:"-"`
}

// Waiting compares what putting the first cause right alone would have come
// to, caught early, with what the whole spread comes to now. Low is held
// against low and high against high, since both hang on the same doubts. By
// definition; no published source.
//
// It fails with estimate.ends_invalid, and with money.amount_too_large for a
// factor past the range.
func Waiting(early, late Ends, currency money.Currency) (Cost, error) {
	c := Cost{Early: early, Late: late}
	for _, side := range []struct {
		where string
		ends  Ends
	}{{"/early", early}, {"/late", late}} {
		err := side.ends.check(side.where)
		if err != nil {
			return Cost{}, err
		}
	}
	c.DifferenceLow, c.DifferenceHigh = late.Low-early.Low, late.High-early.High
	var err error
	c.FactorLow, err = factor(late.Low, early.Low)
	if err != nil {
		return Cost{}, err
	}
	c.FactorHigh, err = factor(late.High, early.High)
	if err != nil {
		return Cost{}, err
	}
	c.Working = c.working(currency)
	if c.DifferenceLow < 0 || c.DifferenceHigh < 0 {
		c.Warnings = append(c.Warnings, "By these figures the early repair is the dearer one; check that early holds the first cause alone.")
	}
	if early.Low == 0 {
		c.Warnings = append(c.Warnings, "The early repair costs nothing at its low end, so there is no factor for it.")
	}
	return c, nil
}

func (c Cost) working(currency money.Currency) []string {
	text := func(a money.Amount) string { return a.Text(currency) }
	return []string{
		"Caught early: " + text(c.Early.Low) + " to " + text(c.Early.High) + ". Now: " + text(c.Late.Low) + " to " + text(c.Late.High) + ".",
		"At least: " + text(c.Late.Low) + " - " + text(c.Early.Low) + " = " + text(c.DifferenceLow) + factorWords(c.Late.Low, c.Early.Low, c.FactorLow, currency),
		"At most: " + text(c.Late.High) + " - " + text(c.Early.High) + " = " + text(c.DifferenceHigh) + factorWords(c.Late.High, c.Early.High, c.FactorHigh, currency),
	}
}

func factorWords(late, early money.Amount, factor string, currency money.Currency) string {
	if factor == "" {
		return "; no factor, since early is nothing."
	}
	return "; " + late.Text(currency) + " ÷ " + early.Text(currency) + " = " + factor + "."
}

// factor is late over early to two places, halves up.
func factor(late, early money.Amount) (string, error) {
	if early == 0 {
		return "", nil
	}
	hundredths, err := money.MulRatio(late, 100, int64(early), money.HalfUp)
	return decimals(int64(hundredths), 2), err
}

// decimals writes a whole number of the last place as a decimal without
// trailing zeros: 1250 with 2 places is "12.5". The number is zero or more.
func decimals(n int64, places int) string {
	text := minutesText(n)
	if len(text) <= places {
		text = strings.Repeat("0", places+1-len(text)) + text
	}
	whole, rest := text[:len(text)-places], strings.TrimRight(text[len(text)-places:], "0")
	if rest == "" {
		return whole
	}
	return whole + "." + rest
}

// Portion is a total as a share of the machine's value.
type Portion struct {
	Known bool `json:"known"` // false: the value is not known, "no data"
	// LowPercent and HighPercent are decimal text to one place, halves up,
	// or "no data".
	LowPercent  string   `json:"low_percent"`
	HighPercent string   `json:"high_percent"`
	Working     []string `json:"-"`
	Warnings    []string `json:"-"`
}

// NoData stands where nothing is known.
const NoData = "no data"

// ShareOfValue is a total in per cent of what the machine is worth. With no
// value, nil or zero, the answer is "no data", never a guess.
//
// It fails with estimate.ends_invalid or estimate.value_invalid.
func ShareOfValue(total Ends, value *money.Amount, currency money.Currency) (Portion, error) {
	err := total.check("/total")
	if err != nil {
		return Portion{}, err
	}
	if value == nil || *value == 0 {
		return Portion{LowPercent: NoData, HighPercent: NoData, Working: []string{"The machine's value is not known: no data."}}, nil
	}
	if *value < 0 {
		return Portion{}, fault.Invalid("estimate.value_invalid", "/value_minor", "Give the value above zero, or leave it out.")
	}
	p := Portion{Known: true, Warnings: []string{"A value is an opinion; say whose it is and of what day."}}
	for _, end := range []struct {
		name  string
		total money.Amount
		into  *string
	}{{"At least", total.Low, &p.LowPercent}, {"At most", total.High, &p.HighPercent}} {
		permille, err := money.MulRatio(end.total, 1000, int64(*value), money.HalfUp)
		if err != nil {
			return Portion{}, err
		}
		*end.into = decimals(int64(permille), 1)
		p.Working = append(p.Working, end.name+": "+end.total.Text(currency)+" ÷ "+value.Text(currency)+" = "+*end.into+" %.")
	}
	return p, nil
}
