package app_test

import (
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// found adds a finding to the bench's job.
func (b *moneyBench) found(component string, set func(*shop.Finding)) shop.Finding {
	b.t.Helper()
	f := shop.Finding{ID: shop.FindingID(moneySource{}.ID()), OfJob: b.of(b.job), Origin: b.origin(), Component: component, Pieces: shop.PiecesNone, SafeToRide: shop.YesNoYes}
	set(&f)
	b.insert(&f)
	return f
}

// What was found, for the customer's file: the first cause first and then the
// worst, what is unsafe named, a measurement with its uncertainty and what it
// decides, chosen photos alone, one that was erased told, and what was not
// looked at.
func TestPrintedFindings(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	b.withPhotos()
	p := &printer{}
	b.app.Papers = p
	grade := func(n int64) *int64 { return &n }
	b.found("gasket", func(f *shop.Finding) { f.EffectiveGrade = grade(1) })
	worst := b.found("guide", func(f *shop.Finding) { f.EffectiveGrade, f.SafeToRide = grade(4), shop.YesNoNo })
	first := b.found("chain", func(f *shop.Finding) {
		f.EffectiveGrade, f.FirstCause, f.EvidenceBecause = grade(3), true, "seen by two"
	})
	b.found("cases", func(f *shop.Finding) { f.NotLookedBecause = "they are shut" })
	b.found("sprocket", func(f *shop.Finding) {
		f.Struck = shop.Struck{StruckBy: b.who.StaffID, StruckReason: "wrong part"}
		now := b.clock.Now()
		f.StruckAt = &now
	})
	b.insert(&shop.Measurement{ID: shop.MeasurementID(moneySource{}.ID()), OfJob: b.of(b.job), Origin: b.origin(), FindingID: first.ID, Verdict: "undecided", Indicative: true,
		Result: shop.Quantity{Value: "12.5", Unit: "mm"}, Uncertainty: shop.Quantity{Value: "0.3", Unit: "mm"}, Readings: shop.Taken{FromPhoto: true}})
	b.photograph(worst.ID, true, 60)
	b.photograph(worst.ID, false, 61)
	erased := b.photograph(first.ID, true, 62)
	now := b.clock.Now()
	erased.ErasedAt = &now
	b.write(func(tx app.Tx) error { return tx.Advance(&erased) })

	if _, err := b.app.PrintFindings(b.ctx, b.who, b.job.ID, "a4"); err != nil {
		t.Fatal(err)
	}
	var order []string
	text := ""
	for _, f := range p.found.Findings {
		order = append(order, f.Called)
		for _, r := range f.Rows {
			text += f.Called + ": " + r.Name + ": " + r.Words + "\n"
		}
	}
	if got := strings.Join(order, " "); got != "chain guide gasket" {
		t.Errorf("in this order: %s", got)
	}
	for _, want := range []string{"chain: Cause: the trouble began here", "chain: Measured: value: 12.5 mm ± 0.3 mm (k = 2, about 95 %), taken off a photo", "chain: Limits: none on record",
		"chain: What it says: too close to a limit to be told: measure again; indicative only, it decides no grade", "guide: Safe to ride with: NO: do not ride"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on it:\n%s", want, text)
		}
	}
	if strings.Contains(text, "seen by two") {
		t.Error("it says that there is no reading, beside one")
	}
	if s := p.found; len(s.Unsafe) != 1 || s.Unsafe[0] != "guide" || len(s.NotLooked) != 1 || s.NotLooked[0].Small != "they are shut" {
		t.Errorf("unsafe %v, not looked at %v", s.Unsafe, s.NotLooked)
	}
	photos := p.found.Findings[1].Photos
	if len(photos) != 1 || photos[0].Drawn.Width != 60 || photos[0].Caption != "the worn side" {
		t.Errorf("photos of the guide: %d", len(photos))
	}
	if gone := p.found.Findings[0].Photos; len(gone) != 1 || gone[0].Missing != "This picture was erased." || gone[0].Drawn.JPEG != nil {
		t.Errorf("the erased one: %+v", gone)
	}
}
