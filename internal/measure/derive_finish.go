package measure

import (
	"math"
	"slices"
	"strings"
)

// finish adds up the budget.
func (r *reckoning) finish() (Result, error) {
	err := r.inWanted()
	if err != nil {
		return Result{}, err
	}
	out := &r.result
	out.Value = r.value
	lines := append(budget(r.terms), r.extra...)
	for i := range lines {
		lines[i].Sensitivity *= r.scale
		lines[i].Contribution *= r.scale
	}
	out.Budget = slices.DeleteFunc(lines, func(l BudgetLine) bool { return l.Sensitivity == 0 })
	out.Freedom = math.Inf(1)
	r.say("Result: ", out.Value.String(), ".")
	r.lookAtGauges()
	if r.unfit || len(out.Budget) == 0 {
		r.say("Uncertainty: no data.")
		out.Working = r.steps
		return *out, r.err
	}
	r.addUp()
	out.Working = r.steps
	return *out, r.err
}

// inWanted gives the value in the unit that was asked for.
func (r *reckoning) inWanted() error {
	switch {
	case r.wanted == "" || r.wanted == r.value.Unit || r.err != nil:
		return nil
	case r.wanted == Percent && r.value.Unit == "1":
		d, err := realDecimal(100 * float(r.value.Value))
		r.value, r.scale = Quantity{Value: d, Unit: Percent}, 100*r.scale
		return err
	}
	err := together(r.value.Unit, r.wanted)
	if err != nil {
		return placed("/to", err)
	}
	from := r.value.Unit.facts().factor
	in, err := Convert(r.value, r.wanted)
	r.value, r.scale = in, r.scale*float64(from)/float64(r.wanted.facts().factor)
	return placed("/to", err)
}

// lookAtGauges says what is missing for an uncertainty.
func (r *reckoning) lookAtGauges() {
	var none, bare, coarse, once []string
	for _, t := range r.terms {
		if t.by == 0 {
			continue
		}
		switch {
		case !t.in.gauge.known():
			none = append(none, t.in.name)
			continue
		case t.in.gauge.Uncertainty.Unit == "":
			bare = append(bare, t.in.name)
		case t.in.gauge.Resolution.Unit == "":
			coarse = append(coarse, t.in.name)
		}
		if len(t.in.reads) == 1 {
			once = append(once, t.in.name)
		}
	}
	if len(none) > 0 && r.spare {
		r.warn("No gauge is given for " + strings.Join(none, ", ") + ", so its own error is left out.")
	}
	if len(none) > 0 && !r.spare {
		r.unfit = true
		r.indicate("No gauge is given for " + strings.Join(none, ", ") + ": the uncertainty is no data, and the result indicative only.")
	}
	r.lookAtBudget(bare, coarse, once)
}

// lookAtBudget says what a budget leaves out, where there is one.
func (r *reckoning) lookAtBudget(bare, coarse, once []string) {
	if len(bare) > 0 && !r.unfit {
		r.warn("No uncertainty from a certificate is given for the gauge of " + strings.Join(bare, ", ") + "; the true U is larger.")
	}
	if len(coarse) > 0 && !r.unfit {
		r.warn("No resolution is given for the gauge of " + strings.Join(coarse, ", ") + "; the true U is larger.")
	}
	if len(once) > 0 && !r.unfit {
		r.warn("Repeatability is no data for " + strings.Join(once, ", ") + ", read once: the spread of handling is not in U. Read three times or more.")
	}
	if r.assuming {
		r.warn("No temperature of part and gauge is given; it is reckoned as if both stood at 20 °C.")
	}
}

// addUp makes u and U of the budget, and writes each line of it.
func (r *reckoning) addUp() {
	out := &r.result
	unit := out.Value.Unit.shown()
	parts := make([]Contribution, len(out.Budget))
	for i, l := range out.Budget {
		parts[i] = Contribution{Standard: l.Contribution, Sensitivity: 1, Freedom: l.Freedom}
		r.say(l.words(unit))
	}
	s := Combine(parts, 0, max(r.number("k", "", 0), 0))
	if s.Standard == 0 {
		r.say("Uncertainty: no data.")
		return
	}
	standard, err := realDecimal(s.Standard)
	if err != nil {
		r.err = err
		return
	}
	u := Quantity{Value: roundedUp(s.Expanded, out.Value.Unit.places()), Unit: out.Value.Unit}
	out.Standard, out.Expanded = Quantity{Value: standard, Unit: u.Unit}, u
	out.Coverage, out.Freedom, out.Known = s.Factor, s.Freedom, !r.doubtful
	r.say("u = √(sum of the squares of these) = ", figures(s.Standard, 6), unit, " (JCGM 100:2008, 5.1.2).")
	r.say(s.words(r.with["k"] != ""), " U = ", figures(s.Factor, 4), " × ", figures(s.Standard, 6), " = ", figures(s.Factor*s.Standard, 4), unit, ", rounded up to ", u.String(), ".")
	if s.Raised {
		r.say("The repeats alone come to ", figures(s.Expanded, 4), unit, ", so U stays at that.")
	}
}

// words says where k comes from.
func (s Spread) words(given bool) string {
	switch {
	case given:
		return "k as given."
	case math.IsInf(s.Freedom, 1) || s.Freedom > 1e6:
		return "Degrees of freedom infinite: k = 2, about 95 %."
	}
	return "νeff = u⁴/Σ(uᵢ⁴/νᵢ) = " + figures(s.Freedom, 4) + " (G.4.1); few repeats, so k is the t factor for 95.45 %, " + figures(s.Factor, 4) + "."
}

// words writes a line of the budget.
func (l BudgetLine) words(unit string) string {
	shape := string(l.Distribution)
	divisor := map[Distribution]string{Rectangular: "√3", Triangular: "√6", Certificate: "2 (its k)"}[l.Distribution]
	if l.Distribution == Repeats {
		shape = "standard deviation of " + figures(l.Divisor*l.Divisor, 3) + " repeats, ν " + figures(l.Freedom, 3)
		divisor = "√" + figures(l.Divisor*l.Divisor, 3)
	}
	return "Budget, " + l.What + " of " + l.Of + ": " + figures(l.Half, 6) + l.Unit.shown() + ", " + shape + ", / " + divisor + " × " +
		figures(math.Abs(l.Sensitivity), 6) + " = " + figures(l.Contribution, 6) + unit + "."
}

// shown gives a unit as it stands behind a number.
func (u Unit) shown() string {
	switch {
	case u == "1" || u == "":
		return ""
	case u.Known():
		return " " + u.Symbol()
	}
	return " " + string(u)
}

// places gives how many places an uncertainty is written with: lengths in
// metric units no finer than nanometres.
func (u Unit) places() int {
	switch u {
	case Micrometre:
		return 3
	case Millimetre:
		return 6
	case Centimetre:
		return 7
	case Metre:
		return 9
	}
	return maxScale
}
