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

// TermWords says a statement of a teardown offer in plain words.
func TermWords(t Term) string {
	switch t {
	case TermTeardownCost:
		return "what taking it down and finding out costs"
	case TermArea:
		return "which area or component is taken down"
	case TermReassembly:
		return "what putting it together again costs"
	case TermDestroyed:
		return "gaskets, seals and other parts the teardown destroys, and the labour they cost"
	case TermMaxTime:
		return "the shop's own longest time to put it together again"
	}
	return "whether it may be impossible to restore"
}

// FieldWords says a field of a record of consent in plain words.
func FieldWords(f RecordField) string {
	switch f {
	case FieldGivenAt:
		return "date and time with its zone"
	case FieldChannel:
		return "how it was given: in person, telephone, message, mail"
	case FieldContact:
		return "the number or address"
	case FieldPerson:
		return "who gave it"
	case FieldRole:
		return "the customer, or the person they named"
	case FieldReceivedBy:
		return "who in the shop took it"
	case FieldAddedWork:
		return "added work and parts"
	case FieldAddedAmount:
		return "what they add"
	case FieldRevisedTotal:
		return "the new total"
	case FieldTaxBase:
		return "whether that total includes tax"
	}
	return "the new date, or that it stands"
}

// Warnings are what to look at before relying on any answer under the rule.
func Warnings(r Rule) []string {
	out := []string{caution}
	if r.VerifiedOn == nil && r.Grounding != QualityOwn {
		out = append(out, "No person has checked this rule with the official text; its source was read from a stored copy.")
	}
	if weak(r) {
		out = append(out, weakGround)
	}
	if c := r.Scope.Motorcycles; c == CoverUnknown || c == CoverLikely {
		out = append(out, "Whether this law covers motorcycles was not read; it is taken to.")
	}
	return out
}

const weakGround = "The number in this rule rests on weak ground; check it with the official text."

// weak reports whether the comparison was read about, or readable two ways.
func weak(r Rule) bool {
	b := r.Overage.Basis
	return b == BasisAmbiguous || b == BasisExcerpt || b == BasisSecondary
}
