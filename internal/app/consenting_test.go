package app_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func (b *moneyBench) facts() flow.Facts {
	b.t.Helper()
	f, err := b.app.MoneyFacts(b.ctx, b.who, b.job.ID)
	if err != nil {
		b.t.Fatal(err)
	}
	return f
}

// spoken is a full record of a spoken yes to an offer.
func (b *moneyBench) spoken(o shop.Offer, sc shop.Scope) shop.Consent {
	return shop.Consent{SaidAt: b.clock.Now(), SaidBack: "yes, the gears, for that much", ReadOutSHA256: scriptHash(b.t, o), OfferID: o.ID, ScopeID: sc.ID, Kind: shop.ConsentKind(o.Kind), Decision: shop.DecisionAgreed, Method: shop.ConsentMethodSpoken,
		TypedName: "Wren Ashdown", Relation: "owner", IdentifiedHow: "knew the frame number", ContactUsed: "+1 555 0100", ShownSHA256: o.SHA256}
}

func TestSpokenConsent(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	l := b.part(b.job, 10_000)
	sc := b.scope(shop.ScopeKindRepair, l)
	o := b.offer(sc)
	for name, tt := range map[string]struct {
		spoil func(*shop.Consent)
		kind  fault.Kind
		code  string
		at    []string
	}{
		"nobody":        {func(g *shop.Consent) { g.TypedName, g.ContactUsed, g.Relation = " ", "", "" }, fault.Meaning, "app.consent_incomplete", []string{"/typed_name", "/relation", "/contact_used"}},
		"unknown":       {func(g *shop.Consent) { g.IdentifiedHow = "" }, fault.Meaning, "app.consent_incomplete", []string{"/identified_how"}},
		"still to come": {func(g *shop.Consent) { g.SaidAt = b.clock.Now().Add(time.Hour) }, fault.Meaning, "app.consent_incomplete", []string{"/said_at"}},
		"by link":       {func(g *shop.Consent) { g.Method = shop.ConsentMethodLink }, fault.Meaning, "app.consent_incomplete", []string{"/method"}},
		"other kind":    {func(g *shop.Consent) { g.Kind = shop.ConsentKindTeardown }, fault.Meaning, "app.consent_incomplete", []string{"/kind"}},
		"no way":        {func(g *shop.Consent) { g.ScopeID = "" }, fault.Meaning, "app.consent_incomplete", []string{"/scope_id", "/ready_on"}},
		"a limit":       {func(g *shop.Consent) { a := money.Amount(5); g.LimitAmount = &a }, fault.Meaning, "app.consent_incomplete", []string{"/limit_amount"}},
		"other bytes":   {func(g *shop.Consent) { g.ShownSHA256 = hashOf("x") }, fault.Conflict, "app.shown_differs", nil},
	} {
		in := b.spoken(o, sc)
		tt.spoil(&in)
		_, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, in)
		t.Run(name, func(t *testing.T) {
			wantMoneyFault(t, err, tt.kind, tt.code)
			if diff := cmp.Diff(tt.at, pointersOf(err)); diff != "" {
				t.Error(diff)
			}
		})
	}
	given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, b.spoken(o, sc))
	if err != nil || given.TakenBy != b.who.StaffID || given.Gross != 10_825 || given.Wording == "" {
		t.Fatalf("given = %+v, %v", given, err)
	}
	if got := b.line(l); got.State != shop.LineStateAgreed || got.ConsentID != given.ID {
		t.Errorf("line = %+v", got)
	}
	_, err = b.app.RecordConsent(b.ctx, b.who, b.job.ID, b.spoken(o, sc))
	wantMoneyFault(t, err, fault.Conflict, "app.offer_decided")
	if diff := cmp.Diff(flow.ConsentFacts{Given: true, Scope: true, Bound: true}, b.facts().Consent); diff != "" {
		t.Error(diff)
	}
}

func TestRevokedConsentTakesBackWhatIsNotDone(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	finished, open := b.part(b.job, 10_000), b.part(b.job, 20_000)
	view := b.agree(shop.ScopeKindRepair, finished, open)
	b.done(0, finished)
	given, err := b.app.RevokeConsent(b.ctx, b.who, view.Receipt.ConsentID, takenBack("sells it as it is"))
	if err != nil || given.RevokedAt == nil {
		t.Fatalf("given = %+v, %v", given, err)
	}
	if l := b.line(open); l.State != shop.LineStateProposed || l.ConsentID != "" {
		t.Errorf("open line = %+v", l)
	}
	if l := b.line(finished); l.State != shop.LineStateDone || l.ConsentID != given.ID {
		t.Errorf("done line = %+v", l)
	}
	// What was done under it may be charged, and not a cent more.
	if got := b.check(); got.Effective != consent.NotRequired || got.Authorized.ExclTax != 10_000 {
		t.Errorf("check = %+v", got)
	}
	if b.facts().Consent.Given {
		t.Error("a consent taken back counts")
	}
	_, err = b.app.RevokeConsent(b.ctx, b.who, view.Receipt.ConsentID, takenBack("again"))
	wantMoneyFault(t, err, fault.Conflict, "app.consent_revoked")
}

func TestAnotherWayTakesThePlaceOfTheFirst(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	first, second := b.part(b.job, 50_000), b.part(b.job, 10_000)
	b.agree(shop.ScopeKindRepair, first)
	b.agree(shop.ScopeKindRepair, second)
	if l := b.line(first); l.State != shop.LineStateProposed {
		t.Errorf("line of the way given up = %+v", l)
	}
	if got := b.check(); got.Authorized.ExclTax != 10_000 || got.Actual.ExclTax != 10_000 || got.Effective != consent.NotRequired {
		t.Errorf("check = %+v", got)
	}
}

func dropOff(limit money.Amount, method shop.ConsentMethod) shop.Consent {
	return shop.Consent{Kind: shop.ConsentKindDropOff, Decision: shop.DecisionAgreed, Method: method, TypedName: "Wren Ashdown", Relation: "owner",
		IdentifiedHow: "showed the key", ContactUsed: "+1 555 0100", SaidAt: time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC), SaidBack: "up to that, yes", LimitAmount: &limit, Note: "new tyre, front"}
}

func TestDropOffLimit(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	bare := dropOff(20_000, shop.ConsentMethodSpoken)
	bare.Note = ""
	_, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, bare)
	wantMoneyFault(t, err, fault.Meaning, "app.consent_incomplete") // the strict rule wants the work named
	if f := b.facts(); f.DropOff.Counts {
		t.Error("a refused limit counts")
	}
	given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, dropOff(20_000, shop.ConsentMethodSpoken))
	if err != nil {
		t.Fatal(err)
	}
	l := b.part(b.job, 18_000) // 194.85 with tax
	if diff := cmp.Diff(flow.DropOffLimit{Counts: true, Covers: true}, b.facts().DropOff); diff != "" {
		t.Error(diff)
	}
	got := b.line(l)
	got.State, got.ConsentID = shop.LineStateAgreed, given.ID
	b.write(func(tx app.Tx) error { return tx.Advance(&got) })
	if c := b.check(); c.Effective != consent.NotRequired || *c.Ceiling.InclTax != 20_000 {
		t.Errorf("inside: %+v", c)
	}
	b.done(18_477, l) // 200.01 with tax: one cent above
	if c := b.check(); c.Effective != consent.Required {
		t.Errorf("one cent above: %+v", c)
	}
	if f := b.facts(); f.DropOff.Covers {
		t.Error("covers one cent above")
	}
	over := dropOff(0, shop.ConsentMethodSpoken)
	over.LimitAmount, over.Kind = nil, shop.ConsentKindRepair
	_, err = b.app.RecordConsent(b.ctx, b.who, b.job.ID, over)
	if diff := cmp.Diff([]string{"/offer_id", "/limit_amount"}, pointersOf(err)); diff != "" {
		t.Error(diff)
	}
}

func TestDiagnosisAgreedAndFree(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	if f := b.facts(); f.Diagnosis.Agreed || f.Diagnosis.Free {
		t.Errorf("facts = %+v", f.Diagnosis)
	}
	in := dropOff(8_000, shop.ConsentMethodSpoken)
	in.Kind, in.Note, in.Relation = shop.ConsentKindDiagnosis, "", ""
	_, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, in)
	if diff := cmp.Diff([]string{"/relation"}, pointersOf(err)); diff != "" {
		t.Error(diff)
	}
	in.Relation = "owner"
	if _, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, in); err != nil {
		t.Fatal(err)
	}
	if f := b.facts(); !f.Diagnosis.Agreed || f.DropOff.Counts {
		t.Errorf("facts = %+v", f)
	}
}

func TestTeardownFacts(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	sc := b.scope(shop.ScopeKindTeardown, b.part(b.job, 5_000))
	sc.TeardownTerms = &shop.TeardownTerms{AreaOrComponent: "gear case", TeardownCost: "50", ReassemblyCost: "40", PartsAndLaborDestroyed: "gaskets", MaxReassemblyTime: "2 days", MayPreventRestoration: "no"}
	b.write(func(tx app.Tx) error { return tx.Advance(&sc) })
	o := b.offer(sc)
	if f := b.facts(); f.Teardown.Consent || !f.Offers.Open {
		t.Errorf("facts = %+v", f)
	}
	if _, err := b.app.LinkDecide(b.ctx, yes(b.token(o), o, sc)); err != nil {
		t.Fatal(err)
	}
	if f := b.facts(); !f.Teardown.Consent || len(f.Teardown.MissingTerms) != 0 || f.Offers.Open {
		t.Errorf("facts = %+v", f)
	}
}

// TestConsentCheckByRule goes through each kind of rule at its edge: 1000.00
// agreed, tax 82.50 on top, the price then moved by the excess.
func TestConsentCheckByRule(t *testing.T) {
	t.Parallel()
	abs, limit := int64(5_000), int64(8_000)
	for name, tt := range map[string]struct {
		rule   *shop.OwnRule
		within money.Amount // largest net excess without asking
	}{
		"strict":         {nil, 0},
		"zero":           {&shop.OwnRule{Kind: "zero"}, 0},
		"pct":            {&shop.OwnRule{Kind: "pct", PctBP: 1000}, 10_000},
		"abs":            {&shop.OwnRule{Kind: "abs", Abs: &abs}, 4_619}, // 46.19 + 3.81 tax = 50.00
		"lesser":         {&shop.OwnRule{Kind: "lesser", PctBP: 1000, Abs: &abs}, 4_619},
		"greater":        {&shop.OwnRule{Kind: "greater", PctBP: 1000, Abs: &abs}, 10_000},
		"greater capped": {&shop.OwnRule{Kind: "greater_capped", PctBP: 1000, Abs: &abs, Cap: &limit}, 7_390}, // 73.90 + 6.10 = 80.00
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := newMoneyBench(t, func(s *shop.Shop) {
				if tt.rule != nil {
					s.ConsentRule, s.OwnRule = "own", tt.rule
				}
			})
			l := b.part(b.job, 100_000)
			b.agree(shop.ScopeKindRepair, l)
			b.done(100_000+tt.within, l)
			if got := b.check(); got.Effective != consent.NotRequired || got.Caution == "" || got.Citation == "" {
				t.Errorf("at the edge: %+v", got)
			}
			b.done(100_000+tt.within+1, l)
			if got := b.check(); got.Effective != consent.Required {
				t.Errorf("one cent above: %+v", got)
			}
		})
	}
}

func TestWorkNobodyAgreedTo(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, func(s *shop.Shop) { s.ConsentRule, s.OwnRule = "own", &shop.OwnRule{Kind: "pct", PctBP: 10_000} })
	l := b.part(b.job, 100_000)
	b.agree(shop.ScopeKindRepair, l)
	b.done(0, l, b.part(b.job, 1))
	if got := b.check(); got.Effective != consent.Required {
		t.Errorf("check = %+v", got)
	}
}

func TestMoreFoundAddsAndRoundsWithItsOwnPaper(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	// 0.06 of tax 8.25 % each is 0.495 of a cent: rounds down alone, up together.
	first, more := b.part(b.job, 6), b.part(b.job, 6)
	b.agree(shop.ScopeKindRepair, first)
	b.agree(shop.ScopeKindMoreFound, more)
	b.done(0, first, more)
	if got := b.check(); got.Effective != consent.NotRequired || got.Authorized.ExclTax != 12 {
		t.Errorf("check = %+v", got)
	}
	b.bill(b.job)
	if f := b.facts(); !f.Bill.WithinConsent {
		t.Error("a cent of rounding is no overrun")
	}
}

// TestConsentCheckOverSeveralJobs: under the strict rule each job stands by
// itself; what one job has left over is no licence for the other.
func TestConsentCheckOverSeveralJobs(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	other := b.newJob("Chain and sprockets")
	here, there := b.part(b.job, 10_000), b.part(other, 10_000)
	b.agree(shop.ScopeKindRepair, here)
	b.agree(shop.ScopeKindRepair, there)
	b.done(9_000, here)
	b.done(11_000, there)
	got := b.check()
	if got.Effective != consent.Required || got.Actual.ExclTax != 9_000 || got.Authorized.ExclTax != 10_000 {
		t.Errorf("check = %+v", got)
	}
	b.done(10_000, there)
	if got := b.check(); got.Effective != consent.NotRequired {
		t.Errorf("check = %+v", got)
	}
	b.bill(b.job, other)
	if f := b.facts(); !f.Bill.WithinConsent {
		t.Error("both are inside")
	}
}

// TestMoreFoundBesideALimit: a limit at drop-off covers one job, an offer the
// other line; neither lends to the other.
func TestMoreFoundBesideALimit(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, dropOff(10_825, shop.ConsentMethodMessage))
	if err != nil {
		t.Fatal(err)
	}
	under, more := b.part(b.job, 10_000), b.part(b.job, 5_000)
	if _, err := b.app.AgreeLine(b.ctx, b.who, app.Place{JobID: b.job.ID, ID: string(under.ID)}, given.ID); err != nil {
		t.Fatal(err)
	}
	b.agree(shop.ScopeKindMoreFound, more)
	if got := b.check(); got.Effective != consent.NotRequired || got.Authorized.ExclTax != 15_000 {
		t.Errorf("check = %+v", got)
	}
	b.done(10_001, under)
	b.done(4_000, more)
	// In all it is less than agreed, yet the limit itself is passed by a cent.
	if got := b.check(); got.Actual.ExclTax != 14_001 || got.Effective != consent.Required {
		t.Errorf("check = %+v", got)
	}
}

func TestLimitThatDoesNotCountAgreesNoLine(t *testing.T) {
	t.Parallel()
	// A rule that knows a limit on signed paper alone.
	b := newMoneyBench(t, func(s *shop.Shop) { s.ConsentRule = "US-IL" })
	given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, dropOff(20_000, shop.ConsentMethodSpoken))
	if err != nil {
		t.Fatal(err)
	}
	_, err = b.app.AgreeLine(b.ctx, b.who, app.Place{JobID: b.job.ID, ID: string(b.part(b.job, 100).ID)}, given.ID)
	wantMoneyFault(t, err, fault.Meaning, "app.limit_not_counted")
}

// TestPriceRaces lets the price change while the customer answers: whatever
// wins, a yes is to the sum that the lines come to.
func TestPriceRaces(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	for range 30 {
		job := b.newJob("Race")
		l := b.part(job, 10_000)
		sc := b.scope(shop.ScopeKindRepair, l)
		o := b.offer(sc)
		token := b.token(o)
		raced := make(chan error, 1)
		go func() {
			_, _, err := b.app.PutLine(b.ctx, b.who, app.Put{JobID: job.ID, ID: string(l.ID), Match: 1, Digest: "dearer"}, func(n *shop.Line) { n.UnitPrice = 20_000 })
			raced <- err
		}()
		view, err := b.app.LinkDecide(b.ctx, yes(token, o, sc))
		put := <-raced
		now := b.line(l)
		if err == nil && (now.UnitPrice != 10_000 || view.Receipt.Gross != 10_825 || put == nil) {
			t.Fatalf("agreed to %d, and the line is %+v (%v)", view.Receipt.Gross, now, put)
		}
		if err != nil && (!fault.Is(err, fault.Gone) || put != nil || now.State != shop.LineStateProposed) {
			t.Fatalf("refused with %v; the line is %+v (%v)", err, now, put)
		}
	}
}

func TestAnswerComesAfterItsQuestion(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	sc := b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000))
	o := b.offer(sc)
	in := b.spoken(o, sc)
	in.SaidAt = b.clock.Now().Add(-time.Second)
	_, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, in)
	if diff := cmp.Diff([]string{"/said_at"}, pointersOf(err)); diff != "" {
		t.Error(diff)
	}
	token := b.token(o)
	b.job.Stage = shop.StageWithdrawn
	b.write(func(tx app.Tx) error { return tx.Advance(&b.job) })
	_, err = b.app.LinkDecide(b.ctx, yes(token, o, sc))
	wantMoneyFault(t, err, fault.Gone, "app.job_over")
	_, err = b.app.RecordConsent(b.ctx, b.who, b.job.ID, b.spoken(o, sc))
	wantMoneyFault(t, err, fault.Conflict, "app.job_closed")
}

// TestRequestSaysItsWork: a request is its own description of the work.
func TestRequestSaysItsWork(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	b.job.Kind = shop.JobKindRequest
	b.write(func(tx app.Tx) error { return tx.Advance(&b.job) })
	bare := dropOff(20_000, shop.ConsentMethodSpoken)
	bare.Note = ""
	if _, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, bare); err != nil {
		t.Fatal(err)
	}
	if f := b.facts(); !f.DropOff.Counts || !f.DropOff.Covers {
		t.Errorf("facts = %+v", f.DropOff)
	}
}
