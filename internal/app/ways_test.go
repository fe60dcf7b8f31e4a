package app_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// wornEngine is a job by the example map with a broken chain as the first
// cause, a pump that is scored by it, and the pan off already.
func wornEngine(t *testing.T) (*flowShop, shop.LabourRateID) {
	t.Helper()
	s := mappedShop(t, true)
	s.setJob(func(j *shop.Job) { j.Stage, j.StepsDone = shop.StageAuthorization, []string{"drain_oil", "sump_pan"} })
	rate := shop.LabourRate{ID: shop.LabourRateID(s.src.ID()), Name: "Hour", PerHour: 6000, TaxCategory: "none"}
	s.insert(&rate)
	four, three := int64(4), int64(3)
	chain := s.src.ID()
	for _, f := range []shop.Finding{
		{ID: shop.FindingID(chain), Component: "timing_chain", LookedAtGrade: &four, SafeToRide: shop.YesNoNo, Advised: shop.AdvisedReplace, FirstCause: true,
			Debris: &shop.FindingDebris{Sheds: []shop.ShedDebris{{Material: "steel", Size: "coarse", Width: shop.Quantity{Value: "0.4", Unit: "mm"}}}}},
		{ID: shop.FindingID(s.src.ID()), Component: "oil_pump", LookedAtGrade: &three, SafeToRide: shop.YesNoNo, Advised: shop.AdvisedReplace, CausedByID: shop.FindingID(chain)},
	} {
		_, _, err := s.app.PutFinding(s.ctx, s.who, app.Put{JobID: s.job, ID: string(f.ID), Create: true, Digest: "x"}, func(row *shop.Finding) {
			f.Pieces, f.EvidenceBecause = shop.PiecesNone, "Plain to see."
			*row = f
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return s, rate.ID
}

func TestWaysAreMadeOfFindings(t *testing.T) {
	t.Parallel()
	s, rate := wornEngine(t)
	made, err := s.app.SuggestWays(s.ctx, s.who, s.job, app.WaysAsked{LabourRateID: rate, LookFurther: []string{"main_bearings"},
		Prices: []app.PartPrice{{Part: "timing_chain", UnitPrice: 6200, PartNumber: "TC-1"}, {Part: "oil_pump", UnitPrice: 18000, ArrivesOn: "2026-03-20"},
			{Part: "main_bearings", UnitPrice: 9000, Ceiling: 14000}, {Part: "sump gasket", UnitPrice: 900}}})
	if err != nil {
		t.Fatal(err)
	}
	var titles []string
	for _, scope := range made.Scopes {
		titles = append(titles, scope.Title)
	}
	want := []string{"The first cause alone", "Everything found", "Everything found, and look further", "Put back, movable only, do not start"}
	if !slices.Equal(titles, want) {
		t.Fatalf("ways: %v", titles)
	}
	openings := 0
	for _, l := range made.Lines {
		if strings.Contains(l.Description, "once") {
			openings++
		}
		if l.State != shop.LineStateProposed || l.JobID != s.job {
			t.Errorf("a line is %+v", l)
		}
	}
	if openings < 3 {
		t.Errorf("only %d lines of opening and closing", openings)
	}
	if !slices.Contains(made.PricesMissing, "drain plug washer") || slices.Contains(made.PricesMissing, "sump gasket") {
		t.Errorf("prices missing: %v", made.PricesMissing)
	}
	first, all := made.Scopes[0], made.Scopes[1]
	if first.MayRide != shop.RideAnswerNo || !strings.Contains(first.StaysUnknown, "oil pump") {
		t.Errorf("the first cause alone leaves a dangerous pump: %+v", first)
	}
	if all.EarliestOn < "2026-03-20" || !strings.Contains(all.StaysUnknown, "main bearings") {
		t.Errorf("everything found: ready on %s, unknown: %s", all.EarliestOn, all.StaysUnknown)
	}
	if back := made.Scopes[3]; back.Kind != shop.ScopeKindPutBack || back.MayRide != shop.RideAnswerNo {
		t.Errorf("put back: %+v", back)
	}
	if !strings.Contains(strings.Join(made.Working, "\n"), "cost of waiting") {
		t.Errorf("nothing on waiting: %v", made.Working)
	}
	var sum money.Amount
	for _, l := range made.Lines {
		sum += l.UnitPrice
	}
	if sum == 0 {
		t.Error("nothing costs anything")
	}
}

// A group stands for its members, and naming one twice changes nothing.
func TestWaysLookFurtherIntoGroups(t *testing.T) {
	t.Parallel()
	exposed := func(look ...string) (looked []string) {
		s, rate := wornEngine(t)
		made, err := s.app.SuggestWays(s.ctx, s.who, s.job, app.WaysAsked{LabourRateID: rate, LookFurther: look,
			Prices: []app.PartPrice{{Part: "timing_chain", UnitPrice: 6200}, {Part: "main_bearings", UnitPrice: 9000}}})
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range made.Lines {
			looked = append(looked, l.Description)
		}
		slices.Sort(looked)
		return looked
	}
	group := exposed("fed_by_pressure")
	if diff := cmp.Diff(exposed("main_bearings", "timing_chain", "main_bearings"), group); diff != "" {
		t.Errorf("-members +group:\n%s", diff)
	}
	s, rate := wornEngine(t)
	_, err := s.app.SuggestWays(s.ctx, s.who, s.job, app.WaysAsked{LabourRateID: rate, LookFurther: []string{"no_such_thing"}})
	if codeOf(err) != "app.component_unknown" {
		t.Errorf("no such component: %v", err)
	}
}

func TestWaysNeedFindingsAndAMap(t *testing.T) {
	t.Parallel()
	s, rate := wornEngine(t)
	s.visit()
	for code, asked := range map[string]app.WaysAsked{
		"app.findings_missing":  {LabourRateID: rate},
		"app.reference_unknown": {LabourRateID: "01995000-0000-7000-8000-00000000ffff"},
	} {
		if _, err := s.app.SuggestWays(s.ctx, s.who, s.job, asked); codeOf(err) != code {
			t.Errorf("got %v, want %s", err, code)
		}
	}
}

// Closing that was agreed to with opening stands in every way forward, and is
// not proposed a second time.
func TestWaysTakeOverAgreedClosing(t *testing.T) {
	t.Parallel()
	s, rate := wornEngine(t)
	closing := s.line(func(l *shop.Line) {
		l.Work, l.Description, l.Minutes, l.State = shop.LineWorkReassembly, "Close it again", 90, shop.LineStateAgreed
	})
	made, err := s.app.SuggestWays(s.ctx, s.who, s.job, app.WaysAsked{LabourRateID: rate})
	if err != nil {
		t.Fatal(err)
	}
	if len(made.Scopes) < 3 || made.Scopes[len(made.Scopes)-1].Kind != shop.ScopeKindPutBack {
		t.Fatalf("ways: %+v", made.Scopes)
	}
	for _, scope := range made.Scopes {
		if scope.LineIDs[0] != string(closing) {
			t.Errorf("%s does not hold the closing agreed to: %v", scope.Title, scope.LineIDs)
		}
	}
	back := made.Scopes[len(made.Scopes)-1]
	if len(back.LineIDs) != 1 || back.WhatWeDo == "" {
		t.Errorf("putting back is more than the closing agreed to: %+v", back)
	}
	words := strings.Join(made.Working, "\n")
	if !strings.Contains(words, "agreed to already (Close it again)") || !strings.Contains(words, "0 + 0 (open already)") {
		t.Errorf("the working does not say so: %s", words)
	}
	if slices.Contains(made.PricesMissing, "sump gasket") {
		t.Errorf("the gasket of closing is asked for again: %v", made.PricesMissing)
	}
}

// A customer reads names, not keys.
func TestWaysNameWhatStaysUnseen(t *testing.T) {
	t.Parallel()
	s, rate := wornEngine(t)
	id := s.src.ID()
	_, _, err := s.app.PutFinding(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, func(f *shop.Finding) {
		f.Component, f.SafeToRide, f.Pieces = "main_bearings", shop.YesNoNotKnown, shop.PiecesNone
		f.Advised, f.WatchAt, f.NotLookedBecause = shop.AdvisedWatch, "first start", "The cases would have to be split."
	})
	if err != nil {
		t.Fatal(err)
	}
	made, err := s.app.SuggestWays(s.ctx, s.who, s.job, app.WaysAsked{LabourRateID: rate})
	if err != nil {
		t.Fatal(err)
	}
	for _, scope := range made.Scopes {
		if strings.Contains(scope.RideNote, id) || strings.Contains(scope.RideNote, "exposed:") {
			t.Errorf("%s: %s", scope.Title, scope.RideNote)
		}
	}
	if note := made.Scopes[0].RideNote; !strings.Contains(note, "main bearings") {
		t.Errorf("the first way says nothing of the bearings: %s", note)
	}
}
