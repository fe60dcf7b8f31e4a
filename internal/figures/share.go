package figures

import (
	"math"

	"benchtag/internal/chance"
)

// Count is so many hits in so many trials.
type Count struct {
	Hits   int64 `json:"hits"`
	Trials int64 `json:"trials"`
}

// Prior is the weight for and against a hit before anything was counted;
// Beta(1, 1), which holds every share equally likely, where it is zero.
type Prior struct{ For, Against float64 }

// Proportion is a share with what may lie behind it.
type Proportion struct {
	Count
	// Share is hits over trials; nil for no trials.
	Share *Number `json:"share"`
	// Wilson is the score interval (E. B. Wilson 1927; method 3 of R. G.
	// Newcombe 1998), Corrected the same with correction for continuity
	// (method 4), Exact that of Clopper and Pearson (method 5). All from
	// memory, and nil for no trials.
	Wilson    *Interval `json:"wilson"`
	Corrected *Interval `json:"wilson_corrected"`
	Exact     *Interval `json:"exact"`
	// Belief is the Beta distribution that prior and count give, by its mean
	// and equal tails.
	Belief Belief `json:"beta"`
}

// Belief is a Beta distribution.
type Belief struct {
	A    Number `json:"a"`
	B    Number `json:"b"`
	Mean Number `json:"mean"`
	Interval
}

// Share reckons a proportion. Faults: figures.count_unclear for negative counts
// or more hits than trials, figures.prior_outside, figures.level_outside.
func Share(c Count, p Prior, level Level) (Proportion, error) {
	if p == (Prior{}) {
		p = Prior{1, 1}
	}
	err := level.check()
	switch {
	case err != nil:
		return Proportion{}, err
	case c.Hits < 0 || c.Trials < c.Hits || c.Trials > 1e9:
		return Proportion{}, invalid("count_unclear", "/hits", "Give hits from 0 to the number of trials, and at most 1000000000 of those.")
	case !(p.For > 0 && p.Against > 0 && p.For <= 1e9 && p.Against <= 1e9):
		return Proportion{}, invalid("prior_outside", "/a", "Give prior weights a and b above nought.")
	}
	out := Proportion{Count: c, Belief: believe(c, p, level)}
	if c.Trials == 0 {
		return out, nil
	}
	out.Share = some(float64(c.Hits) / float64(c.Trials))
	out.Wilson, out.Corrected, out.Exact = wilson(c, level), corrected(c, level), exact(c, level)
	return out, nil
}

// wilson is (p̂ + z²/2n ± z √(p̂(1−p̂)/n + z²/4n²)) / (1 + z²/n).
func wilson(c Count, level Level) *Interval {
	n, p, z := float64(c.Trials), float64(c.Hits)/float64(c.Trials), chance.NormalQuantile(level.upper())
	middle := p + z*z/(2*n)
	half := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	low, high := (middle-half)/(1+z*z/n), (middle+half)/(1+z*z/n)
	// At the ends the two terms are equal, and only rounding parts them.
	if c.Hits == 0 {
		low = 0
	}
	if c.Hits == c.Trials {
		high = 1
	}
	return &Interval{Number(low), Number(high)}
}

// corrected is (2np̂ + z² ∓ 1 ∓ z √(z² ∓ 2 − 1/n + 4p̂(n(1−p̂) ± 1))) / 2(n + z²),
// and 0 below at no hit, 1 above at hits alone.
func corrected(c Count, level Level) *Interval {
	n, x, z := float64(c.Trials), float64(c.Hits), chance.NormalQuantile(level.upper())
	p := x / n
	low, high := 0.0, 1.0
	if c.Hits > 0 {
		low = (2*x + z*z - 1 - z*math.Sqrt(z*z-2-1/n+4*p*(n-x+1))) / (2 * (n + z*z))
	}
	if c.Hits < c.Trials {
		high = (2*x + z*z + 1 + z*math.Sqrt(z*z+2-1/n+4*p*(n-x-1))) / (2 * (n + z*z))
	}
	return &Interval{Number(max(0, low)), Number(min(1, high))}
}

// exact is from the α/2 point of Beta(x, n−x+1) to the 1−α/2 point of
// Beta(x+1, n−x).
func exact(c Count, level Level) *Interval {
	x, n := float64(c.Hits), float64(c.Trials)
	low, high := 0.0, 1.0
	if c.Hits > 0 {
		low = chance.BetaQuantile(1-level.upper(), x, n-x+1)
	}
	if c.Hits < c.Trials {
		high = chance.BetaQuantile(level.upper(), x+1, n-x)
	}
	return &Interval{Number(low), Number(high)}
}

func believe(c Count, p Prior, level Level) Belief {
	a, b := p.For+float64(c.Hits), p.Against+float64(c.Trials-c.Hits)
	return Belief{Number(a), Number(b), Number(a / (a + b)),
		Interval{Number(chance.BetaQuantile(1-level.upper(), a, b)), Number(chance.BetaQuantile(level.upper(), a, b))}}
}
