package consent_test

import (
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/consent"
)

// checkAll runs a law over drawn rules and changes.
func checkAll(t *testing.T, law func(*rapid.T, consent.Rule, consent.Change)) {
	t.Helper()
	t.Parallel()
	all, err := consent.Rules()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := drawRule(t, all)
		law(t, r, drawChange(t, r))
	})
}

func TestLawRaisingThePriceNeverFreesIt(t *testing.T) {
	checkAll(t, func(t *rapid.T, r consent.Rule, c consent.Change) {
		before := mustDecide(t, r, c)
		c.Actual.ExclTax += rapid.Int64Range(0, 30_000).Draw(t, "more")
		c.Actual.Tax += rapid.Int64Range(0, 3_000).Draw(t, "more tax")
		after := mustDecide(t, r, c)
		if before.Effective == consent.Required && after.Effective != consent.Required {
			t.Fatalf("%s: raising the price freed it\n%+v\n%+v", r.ID, before, after)
		}
	})
}

func TestLawLessEvidenceNeverAllowsMore(t *testing.T) {
	checkAll(t, func(t *rapid.T, r consent.Rule, c consent.Change) {
		full := mustDecide(t, r, c)
		less := c
		if rapid.Bool().Draw(t, "age lost") {
			less.VehicleAge = 0
		}
		if c.Limit != nil { // whether the limit was meant with tax was not noted
			less.Limit = &consent.Limit{Minor: c.Limit.Minor}
		}
		if full.Effective == consent.Required && mustDecide(t, r, less).Effective != consent.Required {
			t.Fatalf("%s: less evidence allowed more\n%+v\n%+v", r.ID, c, less)
		}
	})
}

func TestLawEachWarningOnlyAdds(t *testing.T) {
	checkAll(t, func(t *rapid.T, r consent.Rule, c consent.Change) {
		before := mustDecide(t, r, c)
		for _, set := range []func(*consent.Change){
			func(c *consent.Change) { c.AllowanceRemoved = true },
			func(c *consent.Change) { c.NewWork = true },
			func(c *consent.Change) { c.DateSlip = true },
			func(c *consent.Change) { c.MethodOrPart = true },
			func(c *consent.Change) { c.PartCondition = true },
		} {
			more := c
			set(&more)
			after := mustDecide(t, r, more)
			if before.Effective == consent.Required && after.Effective != consent.Required {
				t.Fatalf("%s: a warning freed the change\n%+v", r.ID, more)
			}
		}
	})
}

func TestLawStrictIsNeverLooser(t *testing.T) {
	checkAll(t, func(t *rapid.T, r consent.Rule, c consent.Change) {
		strict, rule := mustDecide(t, consent.Strict(), c), mustDecide(t, r, c)
		if strict.Effective == consent.NotRequired && (rule.Effective == consent.Required || rule.Own == consent.Required) {
			t.Fatalf("STRICT allows what %s forbids: %+v\n%+v", r.ID, c, rule)
		}
	})
}

// at puts the price at the given sums, without and with tax.
func at(c consent.Change, excl, incl int64) consent.Change {
	c.Actual = consent.Amount{ExclTax: excl, Tax: incl - excl}
	return c
}

func TestLawCeiling(t *testing.T) {
	checkAll(t, func(t *rapid.T, r consent.Rule, c consent.Change) {
		a := mustDecide(t, r, c)
		excl, incl := a.Ceiling.ExclTax, a.Ceiling.InclTax
		if excl == nil && incl == nil {
			if a.Effective != consent.Required {
				t.Fatalf("%s: no ceiling and yet not required: %+v", r.ID, a)
			}
			return
		}
		var e, i int64
		switch {
		case excl == nil:
			e, i = 0, *incl
		case incl == nil:
			e, i = *excl, *excl
		default:
			i = *incl
			e = min(*excl, i)
		}
		if got := mustDecide(t, r, at(c, e, i)); got.Effective != consent.NotRequired {
			t.Fatalf("%s: at its own ceiling %d/%d consent is required\n%+v\n%+v", r.ID, e, i, a, got)
		}
		if incl != nil && mustDecide(t, r, at(c, e, i+1)).Effective != consent.Required {
			t.Fatalf("%s: above the ceiling with tax %d nothing is required: %+v", r.ID, i, a)
		}
		if excl != nil && mustDecide(t, r, at(c, *excl+1, max(i, *excl+1))).Effective != consent.Required {
			t.Fatalf("%s: above the ceiling without tax %d nothing is required: %+v", r.ID, e, a)
		}
	})
}

func TestLawCeilingTellsTheVerdict(t *testing.T) {
	checkAll(t, func(t *rapid.T, r consent.Rule, c consent.Change) {
		a := mustDecide(t, r, c)
		over := a.Ceiling.ExclTax == nil && a.Ceiling.InclTax == nil ||
			a.Ceiling.ExclTax != nil && c.Actual.ExclTax > *a.Ceiling.ExclTax ||
			a.Ceiling.InclTax != nil && c.Actual.ExclTax+c.Actual.Tax > *a.Ceiling.InclTax
		if over != (a.Effective == consent.Required) {
			t.Fatalf("%s: price over ceiling %v, effective %s: %+v", r.ID, over, a.Effective, a)
		}
	})
}

func TestLawAnswersAreWhole(t *testing.T) {
	checkAll(t, func(t *rapid.T, r consent.Rule, c consent.Change) {
		a := mustDecide(t, r, c)
		if len(a.Reasons) == 0 || len(a.Working) == 0 && a.Effective != consent.Required {
			t.Fatalf("%s: an answer without reasons or working: %+v", r.ID, a)
		}
		if a.RuleID != r.ID || a.Citation == "" || a.Retrieved == "" || a.Checked != "not verified" || a.Caution == "" {
			t.Fatalf("%s: an answer without its footing: %+v", r.ID, a)
		}
		if a.Effective != consent.Required && a.Effective != consent.NotRequired {
			t.Fatalf("%s: effective is %s", r.ID, a.Effective)
		}
		answered := a.Own == consent.Required || a.Own == consent.NotRequired
		if !answered && !a.Strict || a.Own == consent.Required && a.Effective != consent.Required {
			t.Fatalf("%s: own %s, effective %s, strict %v", r.ID, a.Own, a.Effective, a.Strict)
		}
	})
}

// An estimate that is needed stays needed when less is on record of how the
// customer declined it, or of how the job was taken in.
func TestLawLessEvidenceNeverSparesAnEstimate(t *testing.T) {
	t.Parallel()
	all, err := consent.Rules()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := drawRule(t, all)
		full := consent.EstimateAsk{
			Total: rapid.SampledFrom([]int64{0, 2500, 5000, 10000, 10001, 15001, 35001, 750000}).Draw(t, "total"), Requested: rapid.Bool().Draw(t, "requested"),
			Waived: rapid.SampledFrom(append(consent.Givens(), "")).Draw(t, "waived"), HasMaximum: rapid.Bool().Draw(t, "maximum"),
			Remote: rapid.Bool().Draw(t, "remote"), Motorcycle: rapid.Bool().Draw(t, "motorcycle"), Business: rapid.Bool().Draw(t, "business"),
		}
		needed, _ := consent.EstimateNeeded(r, full)
		for name, lose := range map[string]func(*consent.EstimateAsk){
			"waiver": func(q *consent.EstimateAsk) { q.Waived = "" }, "maximum": func(q *consent.EstimateAsk) { q.HasMaximum = false },
			"form": func(q *consent.EstimateAsk) { q.Waived = consent.GivenSpoken }, "distance": func(q *consent.EstimateAsk) { q.Remote = false },
			"total": func(q *consent.EstimateAsk) { q.Total = -1 },
		} {
			less := full
			lose(&less)
			if still, why := consent.EstimateNeeded(r, less); needed && !still {
				t.Fatalf("%s: without the %s no estimate is needed (%s): %+v", r.ID, name, why, full)
			}
		}
		if strict, _ := consent.EstimateNeeded(consent.Strict(), full); !strict {
			t.Fatalf("STRICT spares an estimate: %+v", full)
		}
	})
}

// The age of a machine told by its model year is the age told outright, and
// not telling it never allows more.
func TestLawModelYearIsAge(t *testing.T) {
	t.Parallel()
	virginia := find(t, "US-VA")
	rapid.Check(t, func(t *rapid.T) {
		c := drawChange(t, virginia)
		age := rapid.IntRange(1, 60).Draw(t, "age")
		told, year, half := c, c, c
		told.VehicleAge = age
		year.VehicleAge, year.ModelYear, year.InYear = 0, 2026-age, 2026
		half.VehicleAge, half.ModelYear = 0, 2026-age
		a, b, none := mustDecide(t, virginia, told), mustDecide(t, virginia, year), mustDecide(t, virginia, half)
		if a.Effective != b.Effective {
			t.Fatalf("age %d: %s, by model year %s", age, a.Effective, b.Effective)
		}
		if a.Effective == consent.Required && none.Effective != consent.Required {
			t.Fatalf("a model year without a year allows more: %+v", half)
		}
	})
}
