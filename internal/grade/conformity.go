package grade

import (
	"math"

	"benchtag/internal/chance"
)

// Interval is a pair of limits in plain numbers; an end that is not there is
// infinite.
type Interval struct{ Lower, Upper float64 }

// Unlimited is the interval that holds everything.
func Unlimited() Interval { return Interval{math.Inf(-1), math.Inf(1)} }

// holds reports whether x is inside, the ends included.
func (i Interval) holds(x float64) bool { return i.Lower <= x && x <= i.Upper }

// Estimate is a value with its standard uncertainty, in plain numbers of one
// unit. The uncertainty is nought or more.
type Estimate struct{ Value, Uncertainty float64 }

// Conformity gives the probability, 0 to 1, that what was measured lies within
// the limits, for a normal distribution about the value: Φ((T_U − y)/u) −
// Φ((T_L − y)/u); with one limit, the other term is 1 or 0 (JCGM 106:2012, 7.2
// to 7.4). Without any uncertainty it is 1 or 0.
func (e Estimate) Conformity(limits Interval) float64 {
	if e.Uncertainty == 0 {
		if limits.holds(e.Value) {
			return 1
		}
		return 0
	}
	low, high := (limits.Lower-e.Value)/e.Uncertainty, (limits.Upper-e.Value)/e.Uncertainty
	return between(low, high)
}

// between gives Φ(high) − Φ(low) from the tail in which both are small.
func between(low, high float64) float64 {
	if low > 0 {
		low, high = -high, -low
	}
	return max(0, chance.Normal(high)-chance.Normal(low))
}

// Acceptance gives the limits between which a value is accepted: each limit
// drawn in by the guard band w = r U; a negative r widens (JCGM 106:2012, 8.3).
// Lower above Upper means that nothing is accepted.
func (i Interval) Acceptance(guard float64) Interval {
	return Interval{i.Lower + guard, i.Upper - guard}
}
