package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Papers are kept the years the rule asks for, three at the least, from the
// day the last job ended; an open work order and one under legal hold are
// kept without an end.
func TestKeptUntil(t *testing.T) {
	t.Parallel()
	closed := time.Date(2024, 2, 29, 15, 30, 0, 0, time.UTC)
	lifted := closed.AddDate(1, 0, 0)
	for _, tt := range []struct {
		name  string
		rule  int // years asked for; 0 for a rule that says nothing
		open  bool
		holds []shop.LegalHold
		years int
		until string // "" for no end
	}{
		{name: "the rule's own", rule: 5, years: 5, until: "2029-03-01"},
		{name: "three, as in California", rule: 3, years: 3, until: "2027-03-01"},
		{name: "never less than three", rule: 1, years: 3, until: "2027-03-01"},
		{name: "where nothing is said, as the strict default", years: 4, until: "2028-02-29"},
		{name: "open", rule: 3, open: true, years: 3},
		{name: "on hold", rule: 3, holds: []shop.LegalHold{{Reason: "a claim", HeldAt: closed}}, years: 3},
		{name: "no more on hold", rule: 3, holds: []shop.LegalHold{{HeldAt: closed, LiftedAt: &lifted}}, years: 3, until: "2027-03-01"},
		{name: "one of two lifted", rule: 3, holds: []shop.LegalHold{{HeldAt: closed, LiftedAt: &lifted}, {HeldAt: closed}}, years: 3},
	} {
		order := shop.WorkOrder{ClosedAt: &closed}
		if tt.open {
			order.ClosedAt = nil
		}
		got := app.KeptUntil(consent.Rule{ID: "X", RecordsYears: tt.rule}, order, tt.holds)
		if got.Years != tt.years || (got.Until == nil) != (tt.until == "") || len(got.Working) == 0 {
			t.Fatalf("%s: %+v", tt.name, got)
		}
		if got.Until == nil {
			if got.Over(closed.AddDate(100, 0, 0)) {
				t.Errorf("%s: over one day", tt.name)
			}
			continue
		}
		if got.Until.Format(time.DateOnly) != tt.until || !got.Over(*got.Until) || got.Over(got.Until.Add(-time.Microsecond)) {
			t.Errorf("%s: until %s", tt.name, got.Until)
		}
	}
}

// Every shipped rule keeps papers three years or more.
func TestEveryRuleKeepsThreeYears(t *testing.T) {
	t.Parallel()
	rules, err := consent.Rules()
	if err != nil || len(rules) < 30 {
		t.Fatalf("%d rules, %v", len(rules), err)
	}
	closed := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	for _, r := range rules {
		got := app.KeptUntil(r, shop.WorkOrder{ClosedAt: &closed}, nil)
		if got.Until.Before(closed.AddDate(3, 0, 0)) || got.Years < r.RecordsYears {
			t.Errorf("%s: %+v", r.ID, got)
		}
	}
}

func TestLegalHold(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	_, err := b.app.HoldPapers(b.ctx, b.who, b.order.ID, " ")
	wantMoneyFault(t, err, fault.Meaning, "app.reason_missing")
	hold, err := b.app.HoldPapers(b.ctx, b.who, b.order.ID, "the insurer asked for everything")
	if err != nil || hold.HeldBy != b.who.StaffID || !hold.HeldAt.Equal(b.clock.Now()) {
		t.Fatalf("hold = %+v, %v", hold, err)
	}
	_, err = b.app.HoldPapers(b.ctx, b.who, b.order.ID, "again")
	wantMoneyFault(t, err, fault.Conflict, "app.legal_hold_stands")
	closed := b.clock.Now().AddDate(-9, 0, 0)
	b.order.ClosedAt = &closed
	b.write(func(tx app.Tx) error { return tx.Advance(&b.order) })
	kept, err := b.app.Retention(b.ctx, b.who, b.order.ID)
	if err != nil || kept.Held == nil || kept.Held.ID != hold.ID || kept.Until != nil {
		t.Fatalf("kept = %+v, %v", kept, err)
	}
	if _, err = b.app.ReleasePapers(b.ctx, b.who, hold.ID, "settled"); err != nil {
		t.Fatal(err)
	}
	_, err = b.app.ReleasePapers(b.ctx, b.who, hold.ID, "settled")
	wantMoneyFault(t, err, fault.Conflict, "app.legal_hold_lifted")
	if kept, err = b.app.Retention(b.ctx, b.who, b.order.ID); err != nil || !kept.Over(b.clock.Now()) {
		t.Errorf("kept = %+v, %v", kept, err)
	}
}
