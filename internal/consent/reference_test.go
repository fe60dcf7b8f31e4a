package consent_test

import (
	"math/big"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/consent"
)

// The reference is written from the definitions with exact rationals and
// shares no code with the package. It answers with the effective verdict.

func ratio(n, d int64) *big.Rat { return big.NewRat(n, d) }

func least(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) <= 0 {
		return a
	}
	return b
}

func most(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) >= 0 {
		return a
	}
	return b
}

// refAllowance is the allowance as an exact number of minor units, nil where
// the kind has none.
func refAllowance(o consent.Overage, estimate int64, age int) *big.Rat {
	pct := func(bp int64) *big.Rat { return new(big.Rat).Mul(ratio(estimate, 1), ratio(bp, 10000)) }
	fixed := ratio(o.AbsMinor, 1)
	switch o.Kind {
	case consent.KindZero:
		return ratio(0, 1)
	case consent.KindPct:
		return pct(o.PctBP)
	case consent.KindAbs:
		return fixed
	case consent.KindLesser:
		return least(pct(o.PctBP), fixed)
	case consent.KindGreater:
		return most(pct(o.PctBP), fixed)
	case consent.KindGreaterCapped:
		return least(most(pct(o.PctBP), fixed), ratio(o.CapMinor, 1))
	case consent.KindBandsPct:
		for _, b := range o.Bands {
			if b.BelowEstimateMinor == 0 || estimate < b.BelowEstimateMinor {
				return pct(b.PctBP)
			}
		}
	case consent.KindVehicleAgePct:
		bp := o.PctBP
		for _, b := range o.Bands {
			if age >= b.MinModelYears {
				bp = b.PctBP
			}
		}
		return pct(bp)
	}
	return nil
}

func refStrict(c consent.Change) bool {
	if c.NewWork || c.DateSlip || c.MethodOrPart || c.PartCondition || refOverLimit(c) {
		return true
	}
	if c.Limit != nil && !c.AllowanceRemoved {
		return false
	}
	return c.Actual.ExclTax > c.Authorized.ExclTax || c.Actual.ExclTax+c.Actual.Tax > c.Authorized.ExclTax+c.Authorized.Tax
}

func refOverLimit(c consent.Change) bool {
	if c.Limit == nil {
		return false
	}
	actual := c.Actual.ExclTax + c.Actual.Tax
	if c.Limit.Base == consent.ExclTax {
		actual = c.Actual.ExclTax
	}
	return actual > c.Limit.Minor
}

// refBases gives (estimate, original, actual) on each base the rule tests.
func refBases(r consent.Rule, c consent.Change) [][3]int64 {
	original := c.Authorized
	if c.Original != nil {
		original = *c.Original
	}
	excl := [3]int64{c.Authorized.ExclTax, original.ExclTax, c.Actual.ExclTax}
	incl := [3]int64{excl[0] + c.Authorized.Tax, excl[1] + original.Tax, excl[2] + c.Actual.Tax}
	switch r.Overage.Base {
	case consent.ExclTax:
		return [][3]int64{excl}
	case consent.InclTax:
		return [][3]int64{incl}
	}
	return [][3]int64{excl, incl}
}

func refInside(s consent.Scope, low, high int64) bool {
	ok := true
	if s.MinTotalMinor > 0 {
		ok = high > s.MinTotalMinor || s.MinCmp == consent.Ge && high == s.MinTotalMinor
	}
	if s.MaxTotalMinor > 0 {
		ok = ok && (low < s.MaxTotalMinor || s.MaxCmp == consent.Le && low == s.MaxTotalMinor)
	}
	return ok
}

func refCovered(r consent.Rule, c consent.Change) (covered, alone bool) {
	s := r.Scope
	if c.Motorcycle && s.Motorcycles == consent.CoverNo || c.Business && s.ConsumerOnly {
		return false, false
	}
	alone = true
	for _, b := range refBases(r, c) {
		covered = covered || refInside(s, min(b[0], b[2]), max(b[0], b[2]))
		alone = alone && refInside(s, b[0], b[0])
	}
	return covered, alone
}

func refRequired(r consent.Rule, c consent.Change) bool {
	covered, alone := refCovered(r, c)
	if !covered || !alone && refStrict(c) {
		return refStrict(c)
	}
	flags := c.NewWork || c.DateSlip && slices.Contains(r.Also, consent.AlsoDateSlip) ||
		c.MethodOrPart && slices.Contains(r.Also, consent.AlsoMethodOrPart) ||
		c.PartCondition && slices.Contains(r.Also, consent.AlsoPartCondition)
	if flags || refOverLimit(c) {
		return true
	}
	for _, b := range refBases(r, c) {
		if refOver(r, c, b) {
			return true
		}
	}
	return false
}

// refOver is the tolerance on one base.
func refOver(r consent.Rule, c consent.Change, b [3]int64) bool {
	latest, original, actual := b[0], b[1], b[2]
	estimate := latest
	if r.Overage.RevisionBase == consent.OriginalEstimate {
		estimate = min(latest, original)
	}
	allowance := refAllowance(r.Overage, estimate, c.VehicleAge)
	if allowance == nil || r.Overage.AboveEstimateMinor > 0 && estimate <= r.Overage.AboveEstimateMinor {
		return refStrict(c)
	}
	if c.AllowanceRemoved {
		return actual > latest
	}
	if c.Limit != nil {
		return false
	}
	if actual <= latest || actual <= estimate {
		return false
	}
	excess := ratio(actual-estimate, 1)
	if r.Overage.Cmp == consent.Ge {
		return excess.Cmp(allowance) >= 0
	}
	return excess.Cmp(allowance) > 0
}

// drawChange draws changes whose figures crowd around the bounds that matter.
func drawChange(t *rapid.T, r consent.Rule) consent.Change {
	estimates := []int64{0, 1, 2500, 5000, 9999, 10000, 10001, 15000, 20000, 20001, 35000, 35001, 60000, 90000, 749999, 750000, consent.MaxMinor / 4}
	est := rapid.OneOf(rapid.SampledFrom(estimates), rapid.Int64Range(0, 2_000_000)).Draw(t, "estimate")
	steps := []int64{0, est / 10, est/10 + 1, est / 5, 1000, 2500, 5000, 10000, 20000, 1}
	act := est + rapid.SampledFrom(steps).Draw(t, "step") + rapid.Int64Range(-2, 2).Draw(t, "nudge")
	taxes := rapid.SampledFrom([]int64{0, 0, 1, 600, 2200})
	c := consent.Change{
		Authorized: consent.Amount{ExclTax: est, Tax: taxes.Draw(t, "tax of the estimate")},
		Actual:     consent.Amount{ExclTax: max(0, act), Tax: taxes.Draw(t, "tax of the actual")},
		Motorcycle: rapid.Bool().Draw(t, "motorcycle"),
		VehicleAge: rapid.SampledFrom([]int{0, 24, 25, 40}).Draw(t, "age"),
	}
	if rapid.IntRange(0, 3).Draw(t, "limited") == 0 {
		bases := []consent.Base{"", consent.ExclTax, consent.InclTax, consent.BaseUnspecified}
		c.Limit = &consent.Limit{
			Minor: max(0, act+rapid.Int64Range(-1, 3000).Draw(t, "room")),
			Base:  rapid.SampledFrom(bases).Draw(t, "limit base"),
		}
	}
	if rapid.Bool().Draw(t, "revised") {
		c.Original = &consent.Amount{ExclTax: max(0, est+rapid.Int64Range(-3000, 3000).Draw(t, "original"))}
	}
	rare := func(name string) bool { return rapid.IntRange(0, 7).Draw(t, name) == 0 }
	c.AllowanceRemoved, c.NewWork, c.DateSlip = rare("removed"), rare("new work"), rare("date")
	c.MethodOrPart, c.PartCondition, c.Business = rare("method"), rare("condition"), rare("business")
	c.Currency = r.Currency
	return c
}

// drawRule draws a jurisdiction, the strict default or a shop's own rule.
func drawRule(t *rapid.T, all []consent.Rule) consent.Rule {
	if rapid.IntRange(0, 2).Draw(t, "own rule") > 0 {
		return rapid.SampledFrom(all).Draw(t, "rule")
	}
	return drawCustom(t)
}

func drawCustom(t *rapid.T) consent.Rule {
	own := []consent.Kind{consent.KindZero, consent.KindPct, consent.KindAbs, consent.KindLesser, consent.KindGreater, consent.KindGreaterCapped}
	p := consent.Params{
		Kind: rapid.SampledFrom(own).Draw(t, "kind"), Currency: "USD",
		Cmp: rapid.SampledFrom([]consent.Cmp{consent.Gt, consent.Ge}).Draw(t, "cmp"),
	}
	if p.Kind != consent.KindZero && p.Kind != consent.KindAbs {
		p.PctBP = rapid.Int64Range(1, consent.MaxBasisPoints).Draw(t, "pct")
	}
	if p.Kind != consent.KindZero && p.Kind != consent.KindPct {
		p.AbsMinor = rapid.Int64Range(1, 100_000).Draw(t, "abs")
	}
	if p.Kind == consent.KindGreaterCapped {
		p.CapMinor = rapid.Int64Range(1, 100_000).Draw(t, "cap")
	}
	r, err := consent.Custom(p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func mustDecide(t rapid.TB, r consent.Rule, c consent.Change) consent.Answer {
	t.Helper()
	a, err := consent.Decide(r, c)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestDecideAgreesWithReference(t *testing.T) {
	t.Parallel()
	all, err := consent.Rules()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		for _, r := range append(slices.Clone(all), drawCustom(t)) { // each time every rule, so that none goes untried
			c := drawChange(t, r)
			want := consent.NotRequired
			if refRequired(r, c) {
				want = consent.Required
			}
			if a := mustDecide(t, r, c); a.Effective != want {
				t.Fatalf("%s: effective %s, reference %s\n%+v\n%+v", r.ID, a.Effective, want, c, a)
			}
		}
	})
}
