package estimate_test

import (
	"slices"
	"strings"
	"testing"

	"benchtag/internal/estimate"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func says(lines []string, want string) bool {
	return slices.ContainsFunc(lines, func(l string) bool { return strings.Contains(l, want) })
}

func TestSuggestWarns(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		bend func(*estimate.Situation)
		want string
	}{
		"always":                  {func(*estimate.Situation) {}, "A proposal: a person checks"},
		"no price":                {func(*estimate.Situation) {}, "guide bolt: no price yet"},
		"no first cause":          {func(s *estimate.Situation) { s.Findings[0].FirstCause = false }, "No first cause is marked"},
		"no advice":               {func(s *estimate.Situation) { s.Findings[2].Advised = "" }, "camshaft: no advice yet"},
		"failed and to be reused": {func(s *estimate.Situation) { s.Findings[2].Grade = grade(4) }, "camshaft: grade 4, and yet nothing"},
	} {
		s := worn()
		tc.bend(&s)
		if got := mustSuggest(t, s, untaxed()).Warnings; !says(got, tc.want) {
			t.Errorf("%s: %q does not say %q", name, got, tc.want)
		}
	}
	if got := mustSuggest(t, worn(), untaxed()).Warnings; says(got, "No first cause") || says(got, "nothing is to be done") {
		t.Errorf("a warning for nothing: %q", got)
	}
}

func TestScopesSayWhatStays(t *testing.T) {
	t.Parallel()
	s := worn()
	s.Findings[0].FirstCause, s.Findings[1].FirstCause = false, true // the consequence taken for the cause
	first := scopeOf(t, mustSuggest(t, s, untaxed()), estimate.ScopeFirstCause)
	if !says(first.Notes, "chain guide was caused by timing chain, which stays; it may happen again.") {
		t.Errorf("notes %q", first.Notes)
	}
	out := mustSuggest(t, worn(), untaxed())
	back := scopeOf(t, out, estimate.ScopePutBack)
	if !says(back.Notes, "Parts used once are not renewed") || !says(back.RidingWhy, "not to be started or ridden") || !says(back.RidingWhy, "timing chain stays and is dangerous") {
		t.Errorf("put back: %q, %q", back.Notes, back.RidingWhy)
	}
	all := scopeOf(t, out, estimate.ScopeEverything)
	if !says(all.Notes, "The totals lack") || !says(all.RidingWhy, "2 components stay unseen: main_bearings, big_end.") {
		t.Errorf("everything: %q, %q", all.Notes, all.RidingWhy)
	}
	look := scopeOf(t, out, estimate.ScopeLookFurther)
	if !says(look.RidingWhy, "What looking further shows decides.") {
		t.Errorf("look further: %q", look.RidingWhy)
	}
}

// The opening can be added up again from the working.
func TestSuggestShowsItsOpening(t *testing.T) {
	t.Parallel()
	working := mustSuggest(t, worn(), untaxed()).Working
	for _, want := range []string{
		"Opening up and closing, each step once: cover 0 + 45 (open already); together 0 + 45 = 45 min.",
		"Opening up and closing, each step once: cover 0 + 45 (open already); sump 25 + 30; together 25 + 75 = 100 min.",
		"Opening up and closing, each step once: cover 0 + 45 (open already); sump 25 + 30; split 120 + 180; together 145 + 255 = 400 min.",
	} {
		if !slices.Contains(working, want) {
			t.Errorf("not said: %s\n%s", want, strings.Join(working, "\n"))
		}
	}
	empty := mustSuggest(t, estimate.Situation{Rates: worn().Rates}, untaxed()).Working
	if !slices.Contains(empty, "Opening up and closing: nothing.") {
		t.Errorf("nothing to open: %q", empty)
	}
}

// A unit of this and of that: what is left out is one piece, a part, certain.
func TestSuggestDefaults(t *testing.T) {
	t.Parallel()
	s := worn()
	s.Parts = []estimate.Wanted{
		{For: "f1", Name: "chain", Price: price(8000)},
		{For: "f1", Name: "oil", Kind: estimate.Consumable, Milli: 2500, Price: price(1000)},
		{For: "f1", Name: "rebore", Kind: estimate.Sublet, Price: price(5000), Certainty: estimate.Possible, Ceiling: 9000},
		{For: "f1", Name: "disposal", Kind: estimate.Fee, Price: price(300), Ceiling: 500},
	}
	out := mustSuggest(t, s, untaxed())
	want := map[string]estimate.Line{
		"chain":    {Kind: estimate.Part, Certainty: estimate.Certain, Milli: 1000, UnitPrice: 8000},
		"oil":      {Kind: estimate.Consumable, Certainty: estimate.Certain, Milli: 2500, UnitPrice: 1000},
		"rebore":   {Kind: estimate.Sublet, Certainty: estimate.Possible, Milli: 1000, UnitPrice: 5000, Ceiling: 9000},
		"disposal": {Kind: estimate.Fee, Certainty: estimate.Certain, Milli: 1000, UnitPrice: 300},
	}
	for _, l := range out.Lines {
		w, listed := want[l.Label]
		if !listed {
			continue
		}
		delete(want, l.Label)
		w.ID, w.Label, w.TaxCategory = l.ID, l.Label, "standard"
		if l.Line != w || l.For != "f1" {
			t.Errorf("%+v, want %+v", l, w)
		}
	}
	if len(want) > 0 {
		t.Errorf("no line for %v", want)
	}
}

// Less evidence never allows more: forgetting that a finding is safe, or
// adding something unseen, never makes a way forward rideable.
func TestLessEvidenceIsNeverRidden(t *testing.T) {
	t.Parallel()
	s := worn()
	s.Unseen, s.Looks, s.Repairs, s.Parts = nil, nil, s.Repairs[:2], s.Parts[:3]
	for i := range s.Steps {
		s.Steps[i].NeededBy = []string{"f1", "f2"}
	}
	s.Findings[1].SafeToRide = shop.YesNoYes
	if got := scopeOf(t, mustSuggest(t, s, untaxed()), estimate.ScopeFirstCause); got.Riding != shop.YesNoYes || !says(got.RidingWhy, "pre-ride checks") {
		t.Fatalf("all is known to be safe, and riding is %s (%q)", got.Riding, got.RidingWhy)
	}
	s.Findings[1].SafeToRide = ""
	if got := scopeOf(t, mustSuggest(t, s, untaxed()), estimate.ScopeFirstCause).Riding; got != shop.YesNoNotKnown {
		t.Errorf("not on record, and riding is %s", got)
	}
	s.Findings[1].SafeToRide = shop.YesNoYes
	s.Unseen = []estimate.Unseen{{Component: "big_end", State: estimate.NotLookedAt}}
	if got := scopeOf(t, mustSuggest(t, s, untaxed()), estimate.ScopeFirstCause).Riding; got != shop.YesNoNotKnown {
		t.Errorf("something unseen, and riding is %s", got)
	}
}

func TestFinishShowsItsDays(t *testing.T) {
	t.Parallel()
	r, err := estimate.Finish(estimate.Plan{Start: "2026-11-30", Week: weekdays(), Tasks: []estimate.Task{
		{ID: "late", Label: "chain", Minutes: 60, Arrives: "2026-12-02"}, {ID: "bore", Minutes: 500, OutsideDays: 1},
	}})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"chain: 60 min, possible from 2026-12-02, when its part arrives; done 2026-12-02.",
		"bore: 500 min, possible from 2026-12-01, when outside work of 1 open day is back; done 2026-12-02.",
		"2026-12-01 (Tuesday): 480 of 480 min.", "2026-12-02 (Wednesday): 80 of 480 min.",
		"Finish: 2026-12-02; it waits for the outside work of bore.",
	} {
		if !slices.Contains(r.Working, want) {
			t.Errorf("not said: %s\n%s", want, strings.Join(r.Working, "\n"))
		}
	}
	long, err := estimate.Finish(estimate.Plan{Start: "2026-11-30", Week: weekdays(), Tasks: []estimate.Task{{ID: "a", Minutes: 480 * 200}}})
	if err != nil || !slices.Contains(long.Working, "… and so on.") || len(long.Working) > 70 {
		t.Errorf("%d lines of working, %v", len(long.Working), err)
	}
}

func TestPartPastTheRange(t *testing.T) {
	t.Parallel()
	half := estimate.Share{Net: 1 << 62, Gross: 1 << 62}
	r := estimate.Result{Lines: []estimate.LineResult{
		{ID: "a", Shares: estimate.Range{Low: half, High: half}}, {ID: "b", Shares: estimate.Range{Low: half, High: half}},
	}}
	_, err := r.Part([]string{"a", "b"})
	if got := codeOf(err); got != "money.amount_too_large" {
		t.Errorf("%q", got)
	}
	_, err = estimate.ShareOfValue(estimate.Ends{Low: 1 << 60, High: 1 << 60}, price(1), "USD")
	if got := codeOf(err); got != "money.amount_too_large" {
		t.Errorf("a share past the range: %q", got)
	}
	_, err = estimate.Waiting(estimate.Ends{Low: 0, High: 1}, estimate.Ends{Low: 0, High: money.Amount(1 << 60)}, "USD")
	if got := codeOf(err); got != "money.amount_too_large" {
		t.Errorf("a factor past the range: %q", got)
	}
}
