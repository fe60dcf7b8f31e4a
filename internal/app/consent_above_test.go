package app_test

import (
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/consent"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// "Call me above" at drop-off is a limit to respect, to the cent and above
// every tolerance, until the customer agrees to more; it licenses nothing.
func TestCallAbove(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, func(s *shop.Shop) { s.ConsentRule = "US-FL" }) // a tolerance of ten per cent
	l := b.part(b.job, 40_000)                                            // 433.00 with tax
	b.agree(shop.ScopeKindRepair, l)
	b.done(41_000, l) // 443.83
	if got := b.check(); got.Effective != consent.NotRequired {
		t.Fatalf("inside the tolerance: %+v", got)
	}
	above := money.Amount(44_383)
	facts := shop.IntakeFacts{ID: b.order.ID, CallAbove: &above, LeaveToRide: shop.YesNoYes, Intent: shop.IntentNotSaid, OldParts: shop.OldPartsNotSaid, Origin: b.origin()}
	b.insert(&facts)
	got := b.check()
	if got.Effective != consent.NotRequired || *got.Ceiling.InclTax != 44_383 || !strings.Contains(got.Working[0], "asked to be called before the price passes USD 443.83") {
		t.Errorf("at the limit: %+v", got)
	}
	above--
	b.write(func(tx app.Tx) error { return tx.Advance(&facts) })
	if got := b.check(); got.Effective != consent.Required || !strings.Contains(strings.Join(got.Reasons, " "), "above the maximum") {
		t.Errorf("a cent above it: %+v", got)
	}
	b.bill(b.job)
	if b.facts().Bill.WithinConsent {
		t.Error("a bill above it counts as inside the consent")
	}
	// A later yes to more shows that they were called; that sum is the limit now.
	above = 100
	b.write(func(tx app.Tx) error { return tx.Advance(&facts) })
	b.done(40_000, l)
	if got := b.check(); got.Effective != consent.NotRequired || *got.Ceiling.InclTax != 43_300 {
		t.Errorf("as agreed: %+v", got)
	}
}

// More work that was found is blocked until it is agreed to, however much is
// left of the total agreed.
func TestMoreFoundIsBlockedUntilAgreed(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	first, more := b.part(b.job, 50_000), b.part(b.job, 100)
	b.agree(shop.ScopeKindRepair, first)
	if _, err := b.app.FinishLine(b.ctx, b.who, app.Place{JobID: b.job.ID, ID: string(more.ID)}); err == nil {
		t.Error("work nobody agreed to was done")
	}
	b.done(0, more)
	if got := b.check(); got.Effective != consent.Required {
		t.Errorf("new work inside the total: %+v", got)
	}
}
