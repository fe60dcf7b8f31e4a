package grade

import (
	"math"
	"math/bits"

	"benchtag/internal/measure"
)

// Judge judges a value. With U the expanded uncertainty and g the guard of the
// rule, it is proven within limits L and S from L + g to S − g, both included,
// and proven beyond below L − g or above S + g (ISO 14253-1); in between nobody
// can tell. Faults: grade.source_unknown, grade.rule_unknown,
// grade.safety_unknown, grade.gauge_unknown, grade.near_outside,
// grade.uncertainty_missing, grade.uncertainty_both,
// grade.uncertainty_negative, grade.limits_crossed, grade.limits_outside, and
// those of package measure for units that do not go together.
func Judge(r Request) (Verdict, error) {
	c, err := r.count()
	if err != nil {
		return Verdict{}, err
	}
	v := Verdict{Outcome: c.outcome(), IndicativeBecause: c.indicative(), WearLeft: c.wearLeft()}
	v.Indicative = len(v.IndicativeBecause) > 0
	v.Suggests, v.Grade = c.grade(v.Outcome), None
	if !v.Indicative {
		v.Grade = v.Suggests
	}
	v.CountsAs = c.countsAs(v)
	err = c.quantities(&v)
	if err != nil {
		return Verdict{}, at("/value", err)
	}
	v.Reasons, v.Working = c.reasons(v), c.working(v)
	return v, nil
}

// outcome is what is proven of fitness for service. Limits for a new part alone
// can prove a part good, never bad.
func (c counted) outcome() Outcome {
	if !c.service.empty() {
		return c.against(c.service)
	}
	if !c.newer.empty() && c.against(c.newer) == Within {
		return Within
	}
	return NoLimit
}

func (c counted) against(s span) Outcome {
	g := c.guard
	switch {
	case s.min != nil && c.y < *s.min-g, s.max != nil && c.y > *s.max+g:
		return Beyond
	case s.min != nil && c.y < *s.min+g, s.max != nil && c.y > *s.max-g:
		return Undecided
	}
	return Within
}

func (c counted) grade(o Outcome) Grade {
	switch {
	case o == Beyond:
		return BeyondLimit
	case o != Within:
		return None
	case !c.newer.empty() && c.against(c.newer) == Within:
		return AsNew
	case c.near():
		return NearLimit
	}
	return Serviceable
}

// countsAs is explained at Verdict.
func (c counted) countsAs(v Verdict) Outcome {
	switch {
	case c.Safety == Critical && (v.Outcome == Undecided || v.Outcome == Beyond):
		return Beyond
	case v.Indicative:
		return NoLimit
	}
	return v.Outcome
}

// wear is the wear allowance of one side and what is left of it.
type wear struct{ allowance, left int64 }

// wears lists the sides that have a limit for a new part and one in service.
func (c counted) wears() []wear {
	var all []wear
	if c.newer.max != nil && c.service.max != nil {
		all = append(all, wear{*c.service.max - *c.newer.max, *c.service.max - c.y})
	}
	if c.newer.min != nil && c.service.min != nil {
		all = append(all, wear{*c.newer.min - *c.service.min, c.y - *c.service.min})
	}
	return all
}

// near reports whether less than the stated share of the allowance is left, by
// the value as measured; requires a value inside the service limits.
func (c counted) near() bool {
	for _, w := range c.wears() {
		leftHigh, leftLow := bits.Mul64(uint64(max(w.left, 0)), 100)
		nearHigh, nearLow := bits.Mul64(uint64(w.allowance), uint64(c.NearPercent))
		if leftHigh < nearHigh || (leftHigh == nearHigh && leftLow < nearLow) {
			return true
		}
	}
	return false
}

// wearLeft gives the least share left, in percent: 100 for a part as good as
// new or better, below nought for one beyond.
func (c counted) wearLeft() *float64 {
	var least *float64
	for _, w := range c.wears() {
		if w.allowance == 0 {
			continue
		}
		share := min(100, 100*float64(w.left)/float64(w.allowance))
		if least == nil || share < *least {
			least = &share
		}
	}
	return least
}

// indicative lists what keeps the measurement from deciding.
func (c counted) indicative() []string {
	var why []string
	for _, reason := range []struct {
		holds bool
		words string
	}{
		{c.Source == NoSource && !(c.newer.empty() && c.service.empty()), "the limits have no source"},
		{c.Source == FromExample && !c.Demo, "the limits are example figures, which decide only in a demonstration shop"},
		{c.Gauge == OutOfCalibration, "the gauge is out of calibration"},
		{c.Gauge == NoGauge, "no calibrated gauge is named"},
		{c.FromPhoto, "the length was taken from a photo"},
		{c.Indicative, "the way it was measured is indicative only"},
	} {
		if reason.holds {
			why = append(why, reason.words)
		}
	}
	return why
}

// quantities puts in what is shown in units.
func (c counted) quantities(v *Verdict) error {
	var err error
	v.Guard, err = c.amountIn(c.guard, c.Value.Unit)
	if err != nil {
		return err
	}
	v.New, err = c.shown(c.newer, c.New)
	if err != nil {
		return err
	}
	v.Service, err = c.shown(c.service, c.Service)
	if err != nil || v.Outcome != Undecided {
		return err
	}
	v.Settle, err = c.settle()
	return err
}

func (c counted) shown(s span, limits Range) (Against, error) {
	if s.empty() {
		return Against{}, nil
	}
	a := Against{Probability: c.probability(s)}
	for _, b := range []struct {
		to    **measure.Quantity
		from  *int64
		shift int64
		limit *measure.Quantity
	}{
		{&a.Proven.Min, s.min, c.guard, limits.Min}, {&a.Proven.Max, s.max, -c.guard, limits.Max},
		{&a.Possible.Min, s.min, -c.guard, limits.Min}, {&a.Possible.Max, s.max, c.guard, limits.Max},
	} {
		if b.from == nil {
			continue
		}
		q, err := c.pointIn(*b.from+b.shift, b.limit.Unit)
		if err != nil {
			return Against{}, err
		}
		*b.to = &q
	}
	return a, nil
}

// probability of conformity to a pair of limits; nil without an uncertainty.
func (c counted) probability(s span) *float64 {
	if !c.known {
		return nil
	}
	// Differences are taken in whole numbers, so that none is lost to the size
	// of the values.
	tolerance := Unlimited()
	if s.min != nil {
		tolerance.Lower = float64(*s.min - c.y)
	}
	if s.max != nil {
		tolerance.Upper = float64(*s.max - c.y)
	}
	p := Estimate{0, float64(c.u2) / 2}.Conformity(tolerance)
	return &p
}

// settle finds the largest U that decides with the value as it is.
func (c counted) settle() (*Settle, error) {
	room := c.room()
	if room <= 0 {
		return &Settle{}, nil
	}
	u, err := c.amountIn(largest(c.Rule, room), c.Value.Unit)
	if err != nil {
		return nil, err
	}
	resolution, err := resolutionFor(u)
	return &Settle{Uncertainty: &u, Resolution: resolution}, err
}

// room gives the largest guard that decides, nought or less if none does:
// inside, as far as the nearest limit; outside, less than the way back.
func (c counted) room() int64 {
	room := int64(math.MaxInt64)
	if c.service.min != nil {
		room = min(room, c.y-*c.service.min)
	}
	if c.service.max != nil {
		room = min(room, *c.service.max-c.y)
	}
	if room < 0 {
		return -room - 1
	}
	return room
}

// resolutionFor gives the largest 1, 2 or 5 times a power of ten, in the unit
// of U, that takes at most half of it: d/√3 up to U/2. nil for a U so small
// that it cannot be written.
func resolutionFor(u measure.Quantity) (*measure.Quantity, error) {
	bound := float(u.Value) * math.Sqrt(3) / 2
	if !(bound > 1e-12) {
		return nil, nil
	}
	exponent := math.Floor(math.Log10(bound))
	best := 0.0
	for _, digit := range []float64{1, 2, 5, 10} {
		if step := digit * math.Pow(10, exponent); step <= bound*(1+1e-12) {
			best = step
		}
	}
	q, err := measure.ParseValue(decimal(best, 12), string(u.Unit))
	return &q, err
}
