package checks

import (
	"fmt"
	"math/big"

	"benchtag/internal/chance"
	"benchtag/internal/fault"
)

// Estimate is a probability with its credible interval.
type Estimate struct {
	Mean Figure `json:"mean"`
	Low  Figure `json:"low"`
	High Figure `json:"high"`
}

// Level is the credibility of the intervals of this package: with this
// probability, given the weights and counts, the share lies inside.
const Level = 0.95

// maxWeight bounds weights and counts.
const maxWeight = 1_000_000_000

// Interval gives mean and equal-tailed credible interval of a share whose
// distribution is Beta(a, b): a is the prior weight for it plus the cases
// counted for it, b the same against it. With no weight on one side the share
// is 0 or 1 without doubt. Source: conjugacy of Beta and binomial, from
// memory; a share of a Dirichlet distribution is Beta by itself. Faults:
// checks.weight_outside, checks.level_outside.
func Interval(a, b *big.Rat, level float64) (Estimate, error) {
	sum := new(big.Rat).Add(a, b)
	if a.Sign() < 0 || b.Sign() < 0 || sum.Sign() == 0 || sum.Cmp(big.NewRat(maxWeight, 1)) > 0 {
		return Estimate{}, fault.New(fault.Meaning, "checks.weight_outside", fmt.Sprintf("Weights and counts must be 0 or more, not all of them 0, and together at most %d.", maxWeight))
	}
	if !(level > 0 && level < 1) {
		return Estimate{}, fault.New(fault.Meaning, "checks.level_outside", "The level of an interval lies between 0 and 1, such as 0.95.")
	}
	mean := figure(new(big.Rat).Quo(a, sum))
	if a.Sign() == 0 || b.Sign() == 0 {
		return Estimate{mean, mean, mean}, nil
	}
	alpha, _ := a.Float64()
	beta, _ := b.Float64()
	tail := (1 - level) / 2
	return Estimate{mean, Figure(chance.BetaQuantile(tail, alpha, beta)), Figure(chance.BetaQuantile(1-tail, alpha, beta))}, nil
}

// Belief is a cause with what speaks for it.
type Belief struct {
	Prior *big.Rat // weight before any count, 0 and up
	Count *big.Rat // cases counted, 0 and up
}

// Shares gives the share of each belief: the mean of the Dirichlet
// distribution with its prior weights and counts, (prior + count) over the
// sum of all, and the interval of each. Faults: checks.weight_outside,
// checks.level_outside.
func Shares(beliefs []Belief, level float64) ([]Estimate, error) {
	sum := new(big.Rat)
	for _, b := range beliefs {
		if negative(b.Prior) || negative(b.Count) {
			return nil, fault.New(fault.Meaning, "checks.weight_outside", "Weights and counts must be 0 or more.")
		}
		sum.Add(sum, b.weight())
	}
	out := make([]Estimate, len(beliefs))
	for i, b := range beliefs {
		var err error
		out[i], err = Interval(b.weight(), new(big.Rat).Sub(sum, b.weight()), level)
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (b Belief) weight() *big.Rat { return new(big.Rat).Add(b.Prior, b.Count) }
