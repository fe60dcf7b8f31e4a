package estimate

import (
	"cmp"
	"strconv"
	"strings"

	"benchtag/internal/money"
)

// working writes how every figure came about, lines first, then the totals.
func working(d document, totals Totals) []string {
	out := make([]string, 0, len(d.lines)+2*len(d.rules.Taxes)+6)
	out = append(out, preamble(d.rules))
	for i, line := range d.lines {
		out = append(out, lineWorking(line, d.priced[i], d.rules))
	}
	if totals.Low.amounts() == totals.High.amounts() {
		return sumWorking(out, "Total", sumIn{totals.High, d.rules})
	}
	out = sumWorking(out, "At least, without the possible lines", sumIn{totals.Low, d.rules})
	return sumWorking(out, "At most, with every possible line", sumIn{totals.High, d.rules})
}

// amounts is a total without its subtotals, to be compared.
func (s Sum) amounts() [4]money.Amount {
	return [4]money.Amount{s.Net, s.Tax, s.RoundingDifference, s.Gross}
}

func preamble(rules Rules) string {
	prices := "Prices are before tax; tax is added to each tax category's subtotal"
	if rules.Mode == Inclusive {
		prices = "Prices contain tax; it is taken out of each tax category's subtotal"
	}
	return "Amounts in " + string(rules.Currency) + ". " + prices + ". Lines round " + rules.LineRounding.Words() +
		"; tax rounds " + rules.TaxRounding.Words() + ", once per category."
}

func lineWorking(line Line, r LineResult, rules Rules) string {
	text := func(a money.Amount) string { return a.Text(rules.Currency) }
	out := cmp.Or(line.Label, line.ID) + ": "
	if line.Kind == Labour {
		out += strconv.FormatInt(line.Minutes, 10) + " min × " + text(line.UnitPrice) + " an hour ÷ 60"
	} else {
		out += milliText(line.Milli) + " × " + text(line.UnitPrice)
	}
	out += " = " + text(r.Amount)
	switch {
	case line.Certainty == Certain:
		return out + "."
	case line.Ceiling == 0:
		return out + "; only if found: from 0 to " + text(r.High) + "."
	}
	return out + "; only if found: from 0 to its ceiling, " + text(r.High) + "."
}

// milliText writes thousandths as a decimal without trailing zeros.
func milliText(milli int64) string {
	text := strconv.FormatInt(milli/milliPerUnit, 10)
	rest := milli % milliPerUnit
	if rest == 0 {
		return text
	}
	return text + "." + strings.TrimRight(strconv.FormatInt(milliPerUnit+rest, 10)[1:], "0")
}

// sumIn is a total together with the rules that made it.
type sumIn struct {
	Sum
	rules Rules
}

func sumWorking(out []string, title string, s sumIn) []string {
	text := func(a money.Amount) string { return a.Text(s.rules.Currency) }
	for _, c := range s.ByCategory {
		out = append(out, title+": "+taxWorking(c, s.rules))
	}
	end := text(s.Net) + " net + " + text(s.Tax) + " tax"
	if s.rules.CashRounding != "" {
		end += " + " + text(s.RoundingDifference) + " rounding to a multiple of " +
			money.Amount(s.rules.CashRounding.Step()).Text(s.rules.Currency)
	}
	return append(out, title+": "+end+" = "+text(s.Gross)+".")
}

func taxWorking(c TaxLine, rules Rules) string {
	text := func(a money.Amount) string { return a.Text(rules.Currency) }
	rate := c.Rate.Percent()
	if rules.Mode == Inclusive {
		return c.Label + " in " + text(c.Gross) + " × " + rate + " ÷ (100 % + " + rate + ") = " + text(c.Tax) +
			", leaving " + text(c.Net) + " net."
	}
	return c.Label + " on " + text(c.Net) + " × " + rate + " = " + text(c.Tax) + "."
}

// warnings says what a person should look at before the document goes out.
func warnings(lines []Line) []string {
	if len(lines) == 0 {
		return []string{"The document has no lines; its total of zero says nothing."}
	}
	var out []string
	certain := 0
	for _, line := range lines {
		name := cmp.Or(line.Label, line.ID)
		if line.Certainty == Certain {
			certain++
		} else if line.Ceiling == 0 {
			out = append(out, name+": possible, without a ceiling; the high total takes quantity and price as the most.")
		}
		if line.UnitPrice == 0 && line.Ceiling == 0 {
			out = append(out, name+": no price; say so if it is free of charge.")
		}
		if line.Milli == 0 && line.Minutes == 0 {
			out = append(out, name+": no quantity or time.")
		}
	}
	if certain == 0 {
		out = append(out, "Every line is only possible; the low total is zero.")
	}
	return out
}
