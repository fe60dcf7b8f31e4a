package consent_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/consent"
)

// refAll decides an order with its jobs from the definition: the order by
// the rule; each job where the rule or the strict default speaks of jobs, or
// where the customer named something for the job.
func refAll(r consent.Rule, jobs []consent.Change) bool {
	order := consent.Change{}
	for i, j := range jobs {
		order.Authorized.ExclTax += j.Authorized.ExclTax
		order.Authorized.Tax += j.Authorized.Tax
		order.Actual.ExclTax += j.Actual.ExclTax
		order.Actual.Tax += j.Actual.Tax
		order.NewWork = order.NewWork || j.NewWork
		order.DateSlip = order.DateSlip || j.DateSlip
		order.MethodOrPart = order.MethodOrPart || j.MethodOrPart
		order.PartCondition = order.PartCondition || j.PartCondition
		order.Motorcycle = order.Motorcycle || j.Motorcycle
		order.Business = order.Business || j.Business
		if i == 0 {
			order.VehicleAge = j.VehicleAge
		}
	}
	if refRequired(r, order) {
		return true
	}
	covered, alone := refCovered(r, order)
	each := r.Overage.Level == consent.LevelJob || !covered || !alone || refSilent(r, order)
	for _, j := range jobs {
		if (each || j.Limit != nil || j.AllowanceRemoved) && refJob(r, j, order) {
			return true
		}
	}
	return false
}

// refSilent reports whether the rule has no number for the order.
func refSilent(r consent.Rule, order consent.Change) bool {
	for _, b := range refBases(r, order) {
		if refAllowance(r.Overage, b[0], 0) == nil || r.Overage.AboveEstimateMinor > 0 && b[0] <= r.Overage.AboveEstimateMinor {
			return true
		}
	}
	return false
}

// refJob decides a job; the order's totals set the scope.
func refJob(r consent.Rule, j, order consent.Change) bool {
	covered, alone := refCovered(r, order)
	if !covered || !alone && refStrict(j) {
		return refStrict(j)
	}
	unscoped := r
	unscoped.Scope = consent.Scope{Motorcycles: consent.CoverYes}
	return refRequired(unscoped, j)
}

func drawJobs(t *rapid.T, r consent.Rule) []consent.Change {
	jobs := make([]consent.Change, rapid.IntRange(1, 3).Draw(t, "jobs"))
	for i := range jobs {
		jobs[i] = drawChange(t, r)
		jobs[i].Original, jobs[i].VehicleAge = nil, 0
	}
	return jobs
}

func mustDecideAll(t rapid.TB, r consent.Rule, jobs []consent.Change) consent.Answer {
	t.Helper()
	a, err := consent.DecideAll(r, consent.OrderOf(jobs), jobs)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestDecideAllAgreesWithReference(t *testing.T) {
	t.Parallel()
	all, err := consent.Rules()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		for _, r := range all {
			jobs := drawJobs(t, r)
			want := consent.NotRequired
			if refAll(r, jobs) {
				want = consent.Required
			}
			if a := mustDecideAll(t, r, jobs); a.Effective != want {
				t.Fatalf("%s: effective %s, reference %s\n%+v\n%+v", r.ID, a.Effective, want, jobs, a)
			}
		}
	})
}

// STRICT is never laxer than any rule, order and jobs together.
func TestLawStrictIsNeverLooserForJobs(t *testing.T) {
	t.Parallel()
	all, err := consent.Rules()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := drawRule(t, all)
		jobs := drawJobs(t, r)
		strict := mustDecideAll(t, consent.Strict(), jobs)
		if strict.Effective == consent.NotRequired && mustDecideAll(t, r, jobs).Effective == consent.Required {
			t.Fatalf("STRICT allows what %s forbids: %+v", r.ID, jobs)
		}
	})
}

func TestDecideAllPointsIntoTheJobs(t *testing.T) {
	t.Parallel()
	_, err := consent.DecideAll(consent.Strict(), plain(1, 1), []consent.Change{plain(1, 1), plain(-1, 1)})
	if err == nil || !strings.Contains(err.Error(), "consent.change_invalid") {
		t.Fatalf("got %v", err)
	}
	if at := fieldOf(t, err); at != "/jobs/1/authorized" {
		t.Errorf("points at %s", at)
	}
}

func TestOrderOf(t *testing.T) {
	t.Parallel()
	first, second := plain(100, 120), plain(50, 40)
	first.Original, second.DateSlip, second.Currency, second.ModelYear = &consent.Amount{ExclTax: 90}, true, "EUR", 2001
	o := consent.OrderOf([]consent.Change{first, second})
	if o.Authorized.ExclTax != 150 || o.Actual.ExclTax != 160 || o.Original == nil || o.Original.ExclTax != 140 {
		t.Errorf("sums: %+v", o)
	}
	if !o.DateSlip || o.Currency != "EUR" || o.ModelYear != 2001 {
		t.Errorf("flags: %+v", o)
	}
	huge := plain(consent.MaxMinor, consent.MaxMinor)
	if _, err := consent.Decide(consent.Strict(), consent.OrderOf([]consent.Change{huge, huge, huge})); err == nil {
		t.Error("a sum past the bound is taken")
	}
}
