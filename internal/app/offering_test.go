package app_test

import (
	"encoding/json"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func TestEstimateAddsUp(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	b.part(b.job, 10_000)
	ceiling := money.Amount(9_000)
	labour := shop.Line{ID: shop.LineID(moneySource{}.ID()), OfJob: b.of(b.job), Kind: shop.LineKindLabour, Work: shop.LineWorkRepair, Minutes: 90,
		UnitPrice: 12_000, TaxCategory: "full", Certainty: shop.CertaintyCertain, State: shop.LineStateProposed, Origin: b.origin()}
	possible := shop.Line{ID: shop.LineID(moneySource{}.ID()), OfJob: b.of(b.job), Kind: shop.LineKindPart, Work: shop.LineWorkRepair, QuantityMilli: 2000,
		UnitPrice: 2_000, Ceiling: &ceiling, TaxCategory: "full", Certainty: shop.CertaintyPossible, State: shop.LineStateProposed, Origin: b.origin()}
	b.insert(&labour, &possible)
	got, err := b.app.Estimate(b.ctx, b.who, b.job.ID)
	if err != nil {
		t.Fatal(err)
	}
	// 100.00 + 1.5 h at 120.00 = 280.00, tax 8.25 % = 23.10; possible up to 90.00 more.
	if low := got.Totals.Low; low.Net != 28_000 || low.Tax != 2_310 || low.Gross != 30_310 {
		t.Errorf("low = %+v", low)
	}
	if high := got.Totals.High; high.Net != 37_000 || high.Gross != 37_000+3_053 {
		t.Errorf("high = %+v", high)
	}
}

func TestOfferIsFixedAndHashed(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	one, two := b.part(b.job, 10_000), b.part(b.job, 30_000)
	danger := shop.Finding{ID: shop.FindingID(moneySource{}.ID()), OfJob: b.of(b.job), Component: "front brake hose", SafeToRide: shop.YesNoNo, Pieces: shop.PiecesValues()[0], Advised: shop.AdvisedReplace, Origin: b.origin()}
	b.insert(&danger)
	o := b.offer(b.scope(shop.ScopeKindRepair, one), b.scope(shop.ScopeKindRepair, one, two))
	if o.SHA256 != hashOf(string(o.Document)) || o.Number != 1 || o.State != shop.OfferStateOpen || o.RuleID != consent.StrictID {
		t.Errorf("offer = %+v", o)
	}
	var doc app.OfferDocument
	if err := json.Unmarshal(o.Document, &doc); err != nil {
		t.Fatal(err)
	}
	want := app.OfferSum{Net: 40_000, Tax: 3_300, Gross: 43_300}
	if diff := cmp.Diff(want, doc.Ways[1].High); diff != "" || len(doc.Ways) != 2 {
		t.Error(diff)
	}
	if _, err := consent.Parse(doc.Rule); err != nil {
		t.Errorf("the rule inside: %v", err)
	}
	if !strings.Contains(doc.Cautions[0], "front brake hose") || doc.Machine != "Tarn Heron 400 2019" || doc.Concerns[0].Words == "" {
		t.Errorf("doc = %+v", doc)
	}
	for _, secret := range []string{"555 0100", "wren@", "Fell Road", "Ivo"} {
		if strings.Contains(string(o.Document), secret) {
			t.Errorf("the document tells %q", secret)
		}
	}
}

// A price says beside it what was agreed to before: all that stays agreed to,
// and nothing that the new way takes the place of.
func TestOfferSaysWhatWasAgreedBefore(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	look, repair, other := b.part(b.job, 4_000), b.part(b.job, 10_000), b.part(b.job, 7_000)
	before := func(kind shop.ScopeKind, lines ...shop.Line) app.OfferSum {
		t.Helper()
		sc := b.scope(kind, lines...)
		var doc app.OfferDocument
		if err := json.Unmarshal(b.offer(sc).Document, &doc); err != nil {
			t.Fatal(err)
		}
		return doc.Before[sc.ID]
	}
	wants := func(what string, got app.OfferSum, gross money.Amount) {
		t.Helper()
		if got.Gross != gross {
			t.Errorf("%s: %d agreed before, want %d", what, got.Gross, gross)
		}
	}
	wants("nothing yet", before(shop.ScopeKindRepair, repair), 0)
	b.agree(shop.ScopeKindDiagnosis, look)
	b.agree(shop.ScopeKindRepair, repair)
	wants("more found", before(shop.ScopeKindMoreFound, other), 15_155) // 140.00 and 8.25 %
	wants("another way", before(shop.ScopeKindRepair, other), 4_330)
	wants("the same way again", before(shop.ScopeKindRepair, repair, other), 4_330)
	b.done(10_000, repair)
	wants("another way, the first done", before(shop.ScopeKindRepair, other), 15_155)
}

func TestNewerOfferTakesThePlaceOfTheOlder(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	l := b.part(b.job, 10_000)
	sc := b.scope(shop.ScopeKindRepair, l)
	first := b.offer(sc)
	token := b.token(first)
	second := b.offer(sc)
	if second.Number != 2 || moneyLoad[shop.Offer](b, string(first.ID)).State != shop.OfferStateWithdrawn {
		t.Errorf("second = %+v", second)
	}
	_, err := b.app.LinkOffer(b.ctx, token)
	wantMoneyFault(t, err, fault.Gone, "app.offer_withdrawn")
	if _, err := b.app.WithdrawOffer(b.ctx, b.who, second.ID, "sold the machine"); err != nil {
		t.Fatal(err)
	}
	_, err = b.app.WithdrawOffer(b.ctx, b.who, second.ID, "again")
	wantMoneyFault(t, err, fault.Gone, "app.offer_withdrawn")
}

func TestOfferRefusals(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	l := b.part(b.job, 10_000)
	repair, teardown := b.scope(shop.ScopeKindRepair, l), b.scope(shop.ScopeKindTeardown, l)
	foreign := b.scope(shop.ScopeKindRepair, b.part(b.newJob("Chain"), 100))
	for name, tt := range map[string]struct {
		in   app.NewOffer
		code string
	}{
		"mixed kinds":     {app.NewOffer{JobID: b.job.ID, ScopeIDs: []string{string(repair.ID), string(teardown.ID)}, PriceUntil: b.day}, "app.scope_kind_mixed"},
		"another job's":   {app.NewOffer{JobID: b.job.ID, ScopeIDs: []string{string(foreign.ID)}, PriceUntil: b.day}, "app.scope_unknown"},
		"twice":           {app.NewOffer{JobID: b.job.ID, ScopeIDs: []string{string(repair.ID), string(repair.ID)}, PriceUntil: b.day}, "app.scope_twice"},
		"a day gone":      {app.NewOffer{JobID: b.job.ID, ScopeIDs: []string{string(repair.ID)}, PriceUntil: "2026-03-01"}, "app.price_until_past"},
		"untold teardown": {app.NewOffer{JobID: b.job.ID, ScopeIDs: []string{string(teardown.ID)}, PriceUntil: b.day}, "app.teardown_terms_missing"},
	} {
		_, err := b.app.MakeOffer(b.ctx, b.who, tt.in)
		t.Run(name, func(t *testing.T) { wantMoneyFault(t, err, fault.Meaning, tt.code) })
	}
	_, err := b.app.MakeOffer(b.ctx, b.who, app.NewOffer{JobID: b.job.ID, ScopeIDs: []string{string(teardown.ID)}, PriceUntil: b.day})
	if got := len(pointersOf(err)); got != len(consent.Terms()) {
		t.Errorf("%d terms named, want all %d", got, len(consent.Terms()))
	}
}

// Repaired or put back is one question: both stand in one offer, and the yes is
// of the kind of the way chosen.
func TestRepairBesidePuttingBack(t *testing.T) {
	t.Parallel()
	for _, kind := range []shop.ScopeKind{shop.ScopeKindRepair, shop.ScopeKindPutBack} {
		b := newMoneyBench(t, nil)
		ways := map[shop.ScopeKind]shop.Scope{
			shop.ScopeKindRepair:  b.scope(shop.ScopeKindRepair, b.part(b.job, 30_000)),
			shop.ScopeKindPutBack: b.scope(shop.ScopeKindPutBack, b.part(b.job, 10_000)),
		}
		o := b.offer(ways[shop.ScopeKindPutBack], ways[shop.ScopeKindRepair])
		if o.Kind != shop.ScopeKindRepair {
			t.Errorf("the offer asks about %s", o.Kind)
		}
		if _, err := b.app.LinkDecide(b.ctx, yes(b.token(o), o, ways[kind])); err != nil {
			t.Fatal(err)
		}
		given, err := b.app.Consents(b.ctx, b.who, b.job.ID, app.Page{})
		if err != nil || len(given) != 1 || given[0].Kind != shop.ConsentKind(kind) || given[0].ScopeID != ways[kind].ID {
			t.Errorf("a yes to %s is kept as %+v, %v", kind, given, err)
		}
	}
}

func TestAnswerByLink(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	chosen, left := b.part(b.job, 10_000), b.part(b.job, 30_000)
	sc, other := b.scope(shop.ScopeKindRepair, chosen), b.scope(shop.ScopeKindRepair, left)
	o := b.offer(sc, other)
	token := b.token(o)
	for range 20 { // scanners look too, and change nothing
		if view, err := b.app.LinkOffer(b.ctx, token); err != nil || view.State != app.LinkOpen {
			t.Fatalf("view = %+v, %v", view, err)
		}
	}
	view, err := b.app.LinkDecide(b.ctx, yes(token, o, sc))
	if err != nil || view.State != app.LinkDecided || view.Receipt.Gross != 10_825 || view.Receipt.WayTitle != sc.Title {
		t.Fatalf("view = %+v, %v", view, err)
	}
	given := moneyLoad[shop.Consent](b, string(view.Receipt.ConsentID))
	for name, filled := range map[string]bool{
		"who": given.TypedName != "", "relation": given.Relation != "", "identified": strings.Contains(given.IdentifiedHow, "555 0100"),
		"contact": given.ContactUsed != "", "what": given.ShownSHA256 == o.SHA256 && given.Net == 10_000 && given.Tax == 825 && given.Gross == 10_825,
		"when": given.SaidAt.Equal(b.clock.Now()), "ip": given.IP == "192.0.2.7", "agent": given.UserAgent != "", "link": given.LinkHash == hashOf(token),
		"wording": strings.Contains(given.Wording, "108.25") && given.Wording == view.Document.Wording(view.Document.Way(sc.ID)), "form": given.ElectronicVersion != "", "copy": given.CopyTo != "" && given.CopySentAt != nil,
	} {
		if !filled {
			t.Errorf("the record lacks %s: %+v", name, given)
		}
	}
	if l := b.line(chosen); l.State != shop.LineStateAgreed || l.ConsentID != given.ID {
		t.Errorf("chosen line = %+v", l)
	}
	if l := b.line(left); l.State != shop.LineStateProposed || l.ConsentID != "" {
		t.Errorf("line of the other way = %+v", l)
	}
	_, err = b.app.LinkDecide(b.ctx, yes(token, o, sc))
	wantMoneyFault(t, err, fault.Conflict, "app.offer_decided")
}

func TestAnswerIsBoundToWhatWasShown(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	l := b.part(b.job, 10_000)
	sc := b.scope(shop.ScopeKindRepair, l)
	o := b.offer(sc)
	token := b.token(o)
	in := yes(token, o, sc)
	in.SHA256 = hashOf("something else")
	_, err := b.app.LinkDecide(b.ctx, in)
	wantMoneyFault(t, err, fault.Conflict, "app.shown_differs")

	in = yes(token, o, sc)
	in.TypedName, in.Agreed, in.ScopeID = " ", false, ""
	_, err = b.app.LinkDecide(b.ctx, in)
	wantMoneyFault(t, err, fault.Meaning, "app.answer_incomplete")
	if diff := cmp.Diff([]string{"/typed_name", "/choice", "/agreed"}, pointersOf(err)); diff != "" {
		t.Error(diff)
	}

	got := b.line(l)
	got.UnitPrice++
	b.write(func(tx app.Tx) error { return tx.Advance(&got) })
	_, err = b.app.LinkDecide(b.ctx, yes(token, o, sc))
	wantMoneyFault(t, err, fault.Gone, "app.offer_changed")
	_, err = b.app.LinkOffer(b.ctx, token)
	wantMoneyFault(t, err, fault.Gone, "app.offer_changed")
	if rows, _ := b.app.Consents(b.ctx, b.who, b.job.ID, app.Page{}); len(rows) != 0 {
		t.Errorf("recorded all the same: %+v", rows)
	}
}

func TestLinksEnd(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	b.day = "2026-03-03"
	sc := b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000))
	o := b.offer(sc)
	token, closed := b.token(o), b.token(o)
	_, err := b.app.LinkOffer(b.ctx, token+"x")
	wantMoneyFault(t, err, fault.NotFound, "app.link_unknown")
	_, err = b.app.LinkOffer(b.ctx, "nonsense")
	wantMoneyFault(t, err, fault.NotFound, "app.link_unknown")
	_, _, err = b.app.MakeOfferLink(b.ctx, b.who, o.ID, 73, "")
	wantMoneyFault(t, err, fault.Meaning, "app.decide_hours_wrong")

	links, err := b.app.OfferLinks(b.ctx, b.who, o.ID, app.Page{})
	if err != nil || len(links) != 2 {
		t.Fatalf("links = %v, %v", links, err)
	}
	if _, err := b.app.RevokeOfferLink(b.ctx, b.who, links[1].ID); err != nil {
		t.Fatal(err)
	}
	_, err = b.app.LinkDecide(b.ctx, yes(closed, o, sc))
	wantMoneyFault(t, err, fault.Gone, "app.link_revoked")

	// The price holds through 3 March in New York, that is until 05:00 UTC.
	b.clock.Set(time.Date(2026, 3, 4, 5, 0, 0, 0, time.UTC))
	if view, err := b.app.LinkOffer(b.ctx, token); err != nil || view.DecideTill != "2026-03-04T05:00:00Z" {
		t.Fatalf("still to be read: %+v, %v", view, err)
	}
	_, err = b.app.LinkDecide(b.ctx, yes(token, o, sc))
	wantMoneyFault(t, err, fault.Gone, "app.offer_lapsed")
	b.clock.Set(time.Date(2026, 3, 4, 4, 59, 59, 0, time.UTC))
	if _, err := b.app.LinkDecide(b.ctx, yes(token, o, sc)); err != nil {
		t.Fatal(err)
	}
	b.clock.Set(time.Date(2026, 3, 9, 9, 0, 0, 0, time.UTC))
	_, err = b.app.LinkOffer(b.ctx, token)
	wantMoneyFault(t, err, fault.Gone, "app.link_ended")
}

func TestOneOfAHundredAnswersCounts(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	sc := b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000))
	o := b.offer(sc)
	tokens := []string{b.token(o), b.token(o)}
	var taken, refused atomic.Int64
	var wait sync.WaitGroup
	for i := range 100 {
		wait.Go(func() {
			in := yes(tokens[i%2], o, sc)
			in.Decline = i%3 == 0
			_, err := b.app.LinkDecide(b.ctx, in)
			switch {
			case err == nil:
				taken.Add(1)
			case fault.Is(err, fault.Conflict), fault.Is(err, fault.Gone):
				refused.Add(1)
			default:
				t.Errorf("answer %d: %v", i, err)
			}
		})
	}
	wait.Wait()
	rows, err := b.app.Consents(b.ctx, b.who, b.job.ID, app.Page{})
	if err != nil || taken.Load() != 1 || refused.Load() != 99 || len(rows) != 1 {
		t.Errorf("taken %d, refused %d, recorded %d (%v)", taken.Load(), refused.Load(), len(rows), err)
	}
}

func TestDeclineByLink(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	l := b.part(b.job, 10_000)
	o := b.offer(b.scope(shop.ScopeKindRepair, l))
	view, err := b.app.LinkDecide(b.ctx, app.LinkAnswer{Token: b.token(o), SHA256: o.SHA256, Decline: true, TypedName: "Wren Ashdown", Agreed: true, Electronic: true, IP: "192.0.2.7"})
	if err != nil || view.Receipt.Decision != shop.DecisionDeclined || view.Receipt.Gross != 0 || view.Receipt.Wording != view.Document.Wording(nil) {
		t.Fatalf("view = %+v, %v", view, err)
	}
	if got := b.line(l); got.State != shop.LineStateProposed {
		t.Errorf("line = %+v", got)
	}
	if f := b.facts(); f.Consent.Given {
		t.Error("a no counts as a yes")
	}
}
