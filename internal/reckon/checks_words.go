package reckon

import (
	"fmt"
	"strings"

	"benchtag/internal/checks"
)

// orderWorking writes an order so that it can be reckoned again by hand.
func orderWorking(p checks.Problem, out orderOut) []string {
	working := []string{methodWords(out.Method)}
	for _, c := range p.Causes {
		f, _ := c.P.Float64()
		working = append(working, fmt.Sprintf("Cause %s: p = %s.", c.Key, checks.Figure(f)))
	}
	working = append(working, turnsWorking(out.Sequence)...)
	if out.Repair > 0 {
		working = append(working, fmt.Sprintf("Putting it right costs the sum of p times r = %s on average, whatever the order; together %s.", out.Repair, out.Total))
	}
	for _, o := range out.Orders {
		working = append(working, fmt.Sprintf("The order %s is expected to cost %s.", strings.Join(o.Order, ", "), o.Expected))
	}
	return working
}

func methodWords(m checks.Method) string {
	switch m {
	case checks.ByRatio:
		return "Order: greatest probability over cost first (Kadane and Simon 1977); an opening goes with the checks behind it that lift its ratio most (Ottosen, arXiv 1203.3502). Exact for one fault and checks that find different causes."
	case checks.AllOrders:
		return "Order: the least expected cost of all orders of these checks."
	case checks.ByTrial:
		return "Order: at each turn the greatest probability over cost, openings included, then improved by moving single checks."
	}
	return "There is no check to put in order."
}

// turnsWorking writes each turn: its ratio, and what it adds to the expected
// cost.
func turnsWorking(s checks.Sequence) []string {
	var working, terms []string
	for i, t := range s.Turns {
		line := fmt.Sprintf("%d. %s: ", i+1, t.Check)
		if t.Ratio != "" {
			line += fmt.Sprintf("p/c = %s / %s = %s; ", t.P, t.Cost, t.Ratio)
		}
		working = append(working, line+fmt.Sprintf("(1 - %s) x %s = %s.", 1-t.Open, costWords(t), t.Adds))
		terms = append(terms, t.Adds.String())
	}
	if len(terms) > 0 {
		working = append(working, fmt.Sprintf("Expected cost of checking: %s = %s; with probability %s none of them finds it.", strings.Join(terms, " + "), s.Expected, s.Missed))
	}
	return working
}

// costWords writes what a turn costs, with what it opens.
func costWords(t checks.Turn) string {
	if len(t.Opens) == 0 {
		return t.Cost.String()
	}
	return fmt.Sprintf("(%s + %s to open %s)", t.Cost, t.Opening, strings.Join(t.Opens, ", "))
}
