package grade

import (
	"slices"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
)

// span is a Range, counted; nil where there is no limit.
type span struct{ min, max *int64 }

func (s span) empty() bool { return s.min == nil && s.max == nil }

// counted is a Request in whole numbers of a grid.
type counted struct {
	Request
	grid
	y, u2   int64 // value and U
	known   bool  // whether U is known
	guard   int64
	newer   span
	service span
}

// count checks a request and counts all of it.
func (r Request) count() (counted, error) {
	r, err := r.filled()
	if err != nil {
		return counted{}, err
	}
	c := counted{Request: r, grid: gridOf(r.Value.Unit.Dimension())}
	c.y, err = c.point(r.Value)
	if err != nil {
		return counted{}, at("/value", err)
	}
	if err = c.countUncertainty(); err != nil {
		return counted{}, err
	}
	c.newer, err = c.span("/new", r.New)
	if err != nil {
		return counted{}, err
	}
	c.service, err = c.span("/service", r.Service)
	if err != nil {
		return counted{}, err
	}
	return c, c.nested()
}

// filled puts in what stands for an empty member, and checks the words.
func (r Request) filled() (Request, error) {
	r.Source, r.Rule = orElse(r.Source, NoSource), orElse(r.Rule, Guarded)
	r.Safety, r.Gauge = orElse(r.Safety, Ordinary), orElse(r.Gauge, NoGauge)
	if r.NearPercent == 0 {
		r.NearPercent = 10
	}
	switch {
	case !slices.Contains(SourceKinds(), r.Source):
		return r, fault.Invalid("grade.source_unknown", "/source", "Say where the limits come from: "+list(SourceKinds())+".")
	case !slices.Contains(Rules(), r.Rule):
		return r, fault.Invalid("grade.rule_unknown", "/rule", "Choose a decision rule: "+list(Rules())+".")
	case !slices.Contains(Safeties(), r.Safety):
		return r, fault.Invalid("grade.safety_unknown", "/safety", "Choose a class of safety: "+list(Safeties())+".")
	case !slices.Contains(Gauges(), r.Gauge):
		return r, fault.Invalid("grade.gauge_unknown", "/gauge", "Say how the gauge stands: "+list(Gauges())+".")
	case r.NearPercent < 1 || r.NearPercent > 99:
		return r, fault.Invalid("grade.near_outside", "/near_percent", "Give the share of the wear allowance as 1 to 99 percent.")
	}
	return r, nil
}

func orElse[T ~string](word, instead T) T {
	if word == "" {
		return instead
	}
	return word
}

func list[T ~string](words []T) string {
	out := ""
	for i, w := range words {
		if i > 0 {
			out += ", "
		}
		out += string(w)
	}
	return out
}

// countUncertainty counts U and the guard that the rule makes of it.
func (c *counted) countUncertainty() error {
	switch {
	case c.Uncertainty != nil && c.StandardUncertainty != nil:
		return fault.Invalid("grade.uncertainty_both", "/standard_uncertainty",
			"Give the expanded uncertainty U (k = 2) or the standard uncertainty u, not both.")
	case c.Uncertainty != nil:
		return c.takeUncertainty("/uncertainty", *c.Uncertainty, 1)
	case c.StandardUncertainty != nil:
		return c.takeUncertainty("/standard_uncertainty", *c.StandardUncertainty, 2)
	case c.Rule != Simple:
		return fault.Invalid("grade.uncertainty_missing", "/uncertainty",
			"Give the expanded uncertainty U (k = 2) of the value, which the rule "+string(c.Rule)+" needs; it is at least the gauge's resolution over √3.")
	}
	return nil
}

func (c *counted) takeUncertainty(pointer string, q measure.Quantity, times int64) error {
	n, err := c.amount(q)
	switch {
	case err != nil:
		return at(pointer, err)
	case n < 0:
		return fault.Invalid("grade.uncertainty_negative", pointer, "An uncertainty is nought or more.")
	case n > most/2:
		return at(pointer, tooLarge())
	}
	c.u2, c.known = n*times, true
	c.guard = guardOf(c.Rule, c.u2)
	return nil
}

// The one-sided 95 % point of the normal distribution, 1.644854, rounded up to
// four places, over the k = 2 of U.
const (
	guard95Over  = 16449
	guard95Under = 20000
)

// guardOf gives the guard of a rule for U, rounded up.
func guardOf(r Rule, u2 int64) int64 {
	switch r {
	case Simple:
		return 0
	case Guarded95:
		whole, rest := u2/guard95Under, u2%guard95Under
		return whole*guard95Over + (rest*guard95Over+guard95Under-1)/guard95Under
	}
	return u2
}

// largest gives the largest U whose guard is g or less.
func largest(r Rule, g int64) int64 {
	if r == Guarded95 {
		whole, rest := g/guard95Over, g%guard95Over
		return whole*guard95Under + rest*guard95Under/guard95Over
	}
	return g
}

func (c counted) span(pointer string, r Range) (span, error) {
	var s span
	for _, side := range []struct {
		name string
		from *measure.Quantity
		to   **int64
	}{{"/min", r.Min, &s.min}, {"/max", r.Max, &s.max}} {
		if side.from == nil {
			continue
		}
		n, err := c.point(*side.from)
		if err != nil {
			return s, at(pointer+side.name, err)
		}
		*side.to = &n
	}
	if s.min != nil && s.max != nil && *s.min > *s.max {
		return s, fault.Invalid("grade.limits_crossed", pointer+"/min", "The least is above the most. Check the limits and their units.")
	}
	return s, nil
}

// nested reports a fault where a new part would be beyond its service limits.
func (c counted) nested() error {
	below := c.service.min != nil && (less(c.newer.min, c.service.min) || less(c.newer.max, c.service.min))
	above := c.service.max != nil && (less(c.service.max, c.newer.max) || less(c.service.max, c.newer.min))
	if below || above {
		return fault.Invalid("grade.limits_outside", "/new",
			"The limits for a new part lie outside the service limits. Check both against their source.")
	}
	return nil
}

// less reports whether both are there and a is below b.
func less(a, b *int64) bool { return a != nil && b != nil && *a < *b }
