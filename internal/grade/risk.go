package grade

import (
	"math"
	"slices"

	"benchtag/internal/chance"
	"benchtag/internal/fault"
)

// Inspection is a process that makes or wears parts, the measurement that looks
// at them, and what is accepted. Plain numbers of one unit; both distributions
// are normal.
type Inspection struct {
	Process Estimate // mean and standard deviation of the true values
	// Measurement is the standard uncertainty of a measured value; nought is a
	// perfect measurement.
	Measurement float64
	Tolerance   Interval // what conforms
	Acceptance  Interval // what is accepted
}

// Risks are what an inspection gets wrong, as probabilities.
type Risks struct {
	Conforming float64 // the part conforms, accepted or not
	Below      float64 // the part is under the tolerance
	Above      float64 // the part is over the tolerance
	Accepted   float64
	// Consumer is the global consumer's risk: the part does not conform and
	// is accepted. Producer: it conforms and is not accepted.
	Consumer, Producer float64
	// ConsumerOfAccepted is the share of accepted parts that do not conform;
	// ProducerOfRefused that of refused parts that do.
	ConsumerOfAccepted, ProducerOfRefused float64
	// Capability is Cpk: the distance from the mean to the nearer limit over
	// three standard deviations; +Inf without limits.
	Capability float64
	// Error bounds what the numeric integration may be off, by its own
	// estimate.
	Error float64
}

// Risk gives the risks of an inspection (JCGM 106:2012, clause 9): R_C = ∫
// outside the tolerance of g0(η) P(accepted | η) dη, and R_P = ∫ inside it of
// g0(η) (1 − P(accepted | η)) dη, by adaptive Simpson integration over twelve
// standard deviations either side. Fault: grade.figure_outside.
func Risk(i Inspection) (Risks, error) {
	err := i.check()
	if err != nil {
		return Risks{}, err
	}
	r := Risks{
		Conforming: i.Process.Conformity(i.Tolerance),
		Below:      chance.Normal((i.Tolerance.Lower - i.Process.Value) / i.Process.Uncertainty),
		Above:      chance.Normal((i.Process.Value - i.Tolerance.Upper) / i.Process.Uncertainty),
		Accepted:   Estimate{i.Process.Value, math.Hypot(i.Process.Uncertainty, i.Measurement)}.Conformity(i.Acceptance),
		Capability: min(i.Process.Value-i.Tolerance.Lower, i.Tolerance.Upper-i.Process.Value) / (3 * i.Process.Uncertainty),
	}
	r.Consumer, r.Producer, r.Error = i.integrate()
	if r.Accepted > 0 {
		r.ConsumerOfAccepted = min(1, r.Consumer/r.Accepted)
	}
	if r.Accepted < 1 {
		r.ProducerOfRefused = min(1, r.Producer/(1-r.Accepted))
	}
	return r, nil
}

func (i Inspection) check() error {
	finite := !math.IsNaN(i.Process.Value) && !math.IsInf(i.Process.Value, 0)
	switch {
	case !finite || !(i.Process.Uncertainty > 0) || math.IsInf(i.Process.Uncertainty, 1):
		return fault.Invalid("grade.figure_outside", "/u0", "Give the standard deviation of the process as a number above nought.")
	case !(i.Measurement >= 0) || math.IsInf(i.Measurement, 1):
		return fault.Invalid("grade.figure_outside", "/u_m", "Give the standard uncertainty of the measurement as nought or more.")
	case !(i.Tolerance.Lower <= i.Tolerance.Upper):
		return fault.Invalid("grade.figure_outside", "/t_l", "The lower tolerance limit is above the upper one.")
	case math.IsNaN(i.Acceptance.Lower) || math.IsNaN(i.Acceptance.Upper):
		return fault.Invalid("grade.figure_outside", "/a_l", "Give acceptance limits as numbers.")
	}
	return nil
}

// reach is how many standard deviations are integrated over; beyond are less
// than 1e-32.
const reach = 12

// integrate sums over pieces between the places where the integrand bends.
func (i Inspection) integrate() (consumer, producer, off float64) {
	cuts := i.cuts()
	for n := range len(cuts) - 1 {
		middle := i.trueValue(cuts[n] + (cuts[n+1]-cuts[n])/2)
		conforms := i.Tolerance.holds(middle)
		s := simpson{func(z float64) float64 { return chance.Density(z) * i.wrong(i.trueValue(z), conforms) }, 0}
		sum := s.between(cuts[n], cuts[n+1])
		off += s.off
		if conforms {
			producer += sum
		} else {
			consumer += sum
		}
	}
	return consumer, producer, off
}

// trueValue is the value z standard deviations from the mean of the process.
func (i Inspection) trueValue(z float64) float64 {
	return i.Process.Value + z*i.Process.Uncertainty
}

// wrong is the probability that a part of a true value is judged wrongly.
func (i Inspection) wrong(value float64, conforms bool) float64 {
	accepted := Estimate{value, i.Measurement}.Conformity(i.Acceptance)
	if conforms {
		return 1 - accepted
	}
	return accepted
}

// cuts are where pieces of the integral begin and end, in standard deviations
// from the mean: each limit, and the surroundings of each acceptance limit as
// far as the measurement blurs it.
func (i Inspection) cuts() []float64 {
	cuts := []float64{-reach, -4, -2, 0, 2, 4, reach, i.deviations(i.Tolerance.Lower), i.deviations(i.Tolerance.Upper)}
	for _, a := range []float64{i.Acceptance.Lower, i.Acceptance.Upper} {
		for _, blur := range []float64{-8, -4, -2, 0, 2, 4, 8} {
			cuts = append(cuts, i.deviations(a+blur*i.Measurement))
		}
	}
	for n, c := range cuts {
		cuts[n] = min(max(c, -reach), reach)
	}
	slices.Sort(cuts)
	return slices.Compact(cuts)
}

func (i Inspection) deviations(value float64) float64 {
	return (value - i.Process.Value) / i.Process.Uncertainty
}

// simpson integrates by Simpson's rule, halving until two reckonings agree
// (from the definition); off gathers what they still differ by, over 15.
type simpson struct {
	f   func(float64) float64
	off float64
}

// piece is part of the way, with the values at its ends and its middle.
type piece struct{ a, b, fa, fm, fb float64 }

func (p piece) middle() float64 { return p.a + (p.b-p.a)/2 }

func (p piece) area() float64 { return (p.b - p.a) / 6 * (p.fa + 4*p.fm + p.fb) }

func (s *simpson) between(a, b float64) float64 {
	// A step at a limit is kept out by standing just inside.
	inset := (b - a) * 1e-12
	a, b = a+inset, b-inset
	p := piece{a, b, s.f(a), s.f(a + (b-a)/2), s.f(b)}
	return s.refine(p, 40)
}

func (s *simpson) refine(p piece, depth int) float64 {
	const enough = 1e-13
	m := p.middle()
	left := piece{p.a, m, p.fa, s.f(p.a + (m-p.a)/2), p.fm}
	right := piece{m, p.b, p.fm, s.f(m + (p.b-m)/2), p.fb}
	whole, halves := p.area(), left.area()+right.area()
	// Turned round, so that no number stops as well.
	if diff := math.Abs(halves - whole); !(diff >= 15*enough) || depth == 0 {
		s.off += diff / 15
		return halves + (halves-whole)/15
	}
	return s.refine(left, depth-1) + s.refine(right, depth-1)
}
