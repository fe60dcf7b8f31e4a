package consent

import (
	"fmt"
	"strings"

	"benchtag/internal/money"
)

// caution goes with every answer.
const caution = "This compares two numbers by a rule the shop selected. It may be wrong or out of date, and it says nothing of liens, storage, licensing, warranty or consumer claims. " +
	"Defer to the law where you work. When in doubt stop, tell the customer the new total, and record the answer."

// notVerified is what Checked says of a rule nobody has checked.
const notVerified = "not verified"

// coin writes amounts of one currency.
type coin money.Currency

// coinOf is the shop's currency where it is known, else the rule's.
func coinOf(r Rule, shop string) coin {
	if shop != "" {
		return coin(shop)
	}
	return coin(r.Currency)
}

// amount writes minor units with the digits of the currency.
func (c coin) amount(m Minor) string { return money.Amount(m).Text(money.Currency(c)) }

// percent writes basis points: 1000 is "10 %", 1250 is "12.5 %".
func percent(bp int64) string {
	s := fmt.Sprintf("%d.%02d", bp/100, bp%100)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".") + " %"
}

// exact writes ten-thousandths of a minor unit, from zero up, as an amount
// without rounding.
func (c coin) exact(scaled int64) string {
	whole, rest := c.amount(scaled/scale), scaled%scale
	if rest == 0 {
		return whole
	}
	if !strings.Contains(whole, ".") {
		whole += "."
	}
	return whole + strings.TrimRight(fmt.Sprintf("%04d", rest), "0")
}

// words says a comparison.
func words(c Cmp) string {
	switch c {
	case Gt:
		return "more than"
	case Ge:
		return "at least"
	case Lt:
		return "less than"
	}
	return "at most"
}

// taxWords says a base.
func taxWords(b Base) string {
	if b == ExclTax {
		return "without tax"
	}
	return "with tax"
}

// alsoWords says a change in the shop's words.
func alsoWords(a Also) string {
	switch a {
	case AlsoNewWork:
		return "There is work the customer has not agreed to."
	case AlsoDateSlip:
		return "The promised date moves."
	case AlsoMethodOrPart:
		return "The method of repair or a part changes."
	}
	return "The condition of a part changes, such as used for new."
}

// levelWords says what the figures are of.
func levelWords(l Level) string {
	if l == LevelJob {
		return "this job"
	}
	return "the order"
}

// list joins enum values with commas.
func list[T ~string](vs []T) string {
	parts := make([]string, len(vs))
	for i, v := range vs {
		parts[i] = strings.ReplaceAll(string(v), "_", " ")
	}
	return strings.Join(parts, ", ")
}
