package grade

import (
	"strconv"
	"strings"

	"benchtag/internal/measure"
)

// reasons says in a sentence or two what came out and why.
func (c counted) reasons(v Verdict) []string {
	out := []string{c.outcomeWords(v.Outcome)}
	if v.Indicative {
		out = append(out, "It decides no grade, because "+strings.Join(v.IndicativeBecause, "; ")+".")
	} else if v.Grade != None {
		out = append(out, c.gradeWords(v))
	}
	if v.CountsAs == Beyond && v.Outcome != Beyond {
		out = append(out, "On brakes, steering and wheels it counts as beyond the limit until a measurement settles it.")
	}
	return out
}

func (c counted) outcomeWords(o Outcome) string {
	switch {
	case o == Within:
		return "Proven within the limits."
	case o == Beyond:
		return "Proven beyond a service limit."
	case o == Undecided:
		return "Too close to a service limit for this uncertainty: undecided, measure again with a better gauge."
	case !c.newer.empty():
		return "There are limits for a new part but none in service, and it is not proven as good as new; so there is no measured grade."
	}
	return "There is no limit to judge it by, so there is no measured grade; look at the part and grade what is seen."
}

func (c counted) gradeWords(v Verdict) string {
	text := "Grade " + strconv.FormatInt(int64(v.Grade), 10) + ", " + v.Grade.Words()
	switch {
	case v.Grade == AsNew:
		return text + ": proven inside the limits for a new part."
	case v.Grade == NearLimit:
		return text + ": less than " + strconv.FormatInt(c.NearPercent, 10) + " % of the wear allowance is left."
	case v.Grade == Serviceable && len(c.wears()) == 0:
		return text + ": inside the service limits; how much wear is left is not known, for there is no limit for a new part on that side."
	case v.Grade == Serviceable:
		return text + ": inside the service limits and not proven as new."
	}
	return text + "."
}

// working is the reckoning, line by line.
func (c counted) working(v Verdict) []string {
	out := []string{c.valueLine(), c.ruleLine(v)}
	if c.unit == measure.Millimetre {
		out = append(out, "Compared in whole nanometres, the uncertainty rounded up: y = "+strconv.FormatInt(c.y, 10)+
			", U = "+strconv.FormatInt(c.u2, 10)+", g = "+strconv.FormatInt(c.guard, 10)+".")
	}
	out = append(out, c.rangeLines("Service limits", c.service, c.Service, v.Service)...)
	out = append(out, c.rangeLines("Limits for a new part", c.newer, c.New, v.New)...)
	out = append(out, c.wearLines()...)
	out = append(out, settleLines(c.Rule, v)...)
	return append(out, "Outcome: "+string(v.Outcome)+"; "+gradeLine(v)+".")
}

func gradeLine(v Verdict) string {
	switch {
	case v.Grade != None:
		return "grade " + strconv.FormatInt(int64(v.Grade), 10) + ", " + v.Grade.Words()
	case v.Suggests != None:
		return "no measured grade (it would be " + strconv.FormatInt(int64(v.Suggests), 10) + ", " + v.Suggests.Words() +
			", but " + strings.Join(v.IndicativeBecause, "; ") + ")"
	}
	return "no measured grade"
}

func (c counted) valueLine() string {
	line := "Value y = " + c.Value.String()
	switch {
	case !c.known:
		return line + "; its uncertainty is not given."
	case c.Uncertainty != nil:
		return line + "; expanded uncertainty U = " + c.Uncertainty.String() + " (k = 2), so u = U/2 = " + c.show(c.u2, 2) + "."
	}
	return line + "; standard uncertainty u = " + c.StandardUncertainty.String() + ", so U = 2 u = " + c.show(c.u2, 1) + "."
}

// show writes a difference over a divisor, in the unit of the value.
func (c counted) show(n, over int64) string {
	q, err := c.amountIn(n, c.Value.Unit)
	if err != nil {
		return "(too large to write)"
	}
	if over == 1 {
		return q.String()
	}
	return decimal(float(q.Value)/float64(over), 12) + " " + q.Unit.Symbol()
}

func (c counted) ruleLine(v Verdict) string {
	switch c.Rule {
	case Simple:
		return "Rule simple: no guard, the value alone is compared (JCGM 106:2012, 8.2); near a limit it is wrong up to half of the time."
	case Guarded95:
		return "Rule guarded_95: guard g = 1.6449 u = 1.6449 × U/2 = " + v.Guard.String() +
			", the one-sided 95 % point of the normal distribution, exactly 1.644854 (ISO 14253-1:2017 rounds it to 1.65, from memory)."
	}
	return "Rule guarded: guard g = U = " + v.Guard.String() + " (ISO 14253-1:2013)."
}

// rangeLines compares the value with one pair of limits.
func (c counted) rangeLines(name string, s span, r Range, a Against) []string {
	if s.empty() {
		return []string{name + ": none given."}
	}
	var parts []string
	if r.Min != nil {
		parts = append(parts, "at least "+r.Min.String()+" (proven from "+r.Min.String()+" + g = "+a.Proven.Min.String()+
			", proven below it under "+r.Min.String()+" − g = "+a.Possible.Min.String()+")")
	}
	if r.Max != nil {
		parts = append(parts, "at most "+r.Max.String()+" (proven up to "+r.Max.String()+" − g = "+a.Proven.Max.String()+
			", proven above it over "+r.Max.String()+" + g = "+a.Possible.Max.String()+")")
	}
	lines := []string{name + " (source: " + string(c.Source) + "): " + strings.Join(parts, "; ") + ". The value is " + againstWords(c.against(s)) + "."}
	if a.Probability != nil {
		lines = append(lines, "Probability of conformity to them: "+c.probabilityWords(s)+" = "+decimal(*a.Probability, 6)+" (JCGM 106:2012, 7.2 to 7.4).")
	}
	return lines
}

func againstWords(o Outcome) string {
	switch o {
	case Within:
		return "proven within"
	case Beyond:
		return "proven beyond"
	default:
		return "in between, where neither is proven"
	}
}

func (c counted) probabilityWords(s span) string {
	if c.u2 == 0 {
		return "without uncertainty, 1 inside and 0 outside"
	}
	var terms []string
	if s.max != nil {
		terms = append(terms, c.phi("(T_U − y)/u", *s.max-c.y))
	}
	if s.min != nil && s.max != nil {
		terms = append(terms, c.phi("(T_L − y)/u", *s.min-c.y)+"; the difference")
	} else if s.min != nil {
		terms = append(terms, c.phi("(y − T_L)/u", c.y-*s.min))
	}
	return strings.Join(terms, ", ")
}

// phi writes Φ with the figures in the unit of the value, and its argument.
func (c counted) phi(formula string, over int64) string {
	return "Φ(" + formula + ") = Φ(" + c.show(over, 1) + " / " + c.show(c.u2, 2) + ") = Φ(" + decimal(float64(over)/(float64(c.u2)/2), 8) + ")"
}

func (c counted) wearLines() []string {
	var out []string
	for _, w := range c.wears() {
		line := "Wear allowance = |service limit − limit for a new part| = " + c.show(w.allowance, 1) + "; left = " + c.show(w.left, 1)
		if w.allowance > 0 {
			line += ", that is " + decimal(100*float64(w.left)/float64(w.allowance), 2) + " %; near the limit below " +
				strconv.FormatInt(c.NearPercent, 10) + " %"
		}
		out = append(out, line+".")
	}
	return out
}

func settleLines(r Rule, v Verdict) []string {
	switch {
	case v.Settle == nil:
		return nil
	case v.Settle.Uncertainty == nil:
		return []string{"The value lies on the limit itself, which no gauge can decide: treat the part as beyond, or measure it another way."}
	}
	how := "as far as the limit is"
	if r == Guarded95 {
		how = "with 1.6449 U/2 as far as the limit is"
	}
	line := "A gauge with U (k = 2) of at most " + v.Settle.Uncertainty.String() + " would decide, if the value stays: " + how
	if v.Settle.Resolution != nil {
		line += "; for example one with a resolution of " + v.Settle.Resolution.String() +
			", which takes resolution/√3, at most half, of that U (common practice, no source)"
	}
	return []string{line + "."}
}
