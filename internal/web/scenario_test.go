package web_test

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"sync"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/web"
)

// The tokens the fake knows.
const (
	goodToken    = "good-secret-of-43-characters-xxxxxxxxxxxxxx"
	closedToken  = "closed-secret"
	brokenToken  = "broken-secret"
	busyToken    = "busy-secret"
	unknownToken = "never-heard-of"
)

// fakeOffers holds one offer and counts what is asked of it.
type fakeOffers struct {
	mu        sync.Mutex
	view      app.LinkView
	offers    int
	decides   []app.LinkAnswer
	questions []app.LinkQuestion
	refuse    error // what LinkDecide answers, once
	onRace    func(*app.LinkView)
}

func (f *fakeOffers) LinkOffer(_ context.Context, token string) (app.LinkView, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.offers++
	switch token {
	case goodToken:
		return f.view, nil
	case closedToken:
		return f.view, fault.New(fault.Gone, "app.link_closed", "canary-of-the-closed-link")
	case brokenToken:
		return f.view, context.DeadlineExceeded
	case busyToken:
		busy := fault.New(fault.Unavailable, "app.busy", "canary-of-the-busy-link")
		busy.RetryAfter = 7
		return f.view, busy
	}
	return f.view, fault.Missing("canary-of-the-unknown-link")
}

func (f *fakeOffers) LinkReceiptFile(_ context.Context, token string) (app.ReceiptFile, error) {
	if token != goodToken || f.view.State != app.LinkDecided {
		return app.ReceiptFile{}, fault.Missing("receipt")
	}
	return app.ReceiptFile{Name: "receipt-1.txt", Text: []byte("benchtag-receipt 1\n")}, nil
}

func (f *fakeOffers) LinkAsk(_ context.Context, q app.LinkQuestion) error {
	f.questions = append(f.questions, q)
	return f.refuse
}

func (f *fakeOffers) LinkDecide(_ context.Context, a app.LinkAnswer) (app.LinkView, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.decides = append(f.decides, a)
	if f.refuse != nil {
		err := f.refuse
		f.refuse = nil
		if f.onRace != nil {
			f.onRace(&f.view)
		}
		return app.LinkView{}, err
	}
	f.view = decided(f.view, a)
	return f.view, nil
}

// decided is the view after an answer.
func decided(v app.LinkView, a app.LinkAnswer) app.LinkView {
	way := v.Document.Way(a.ScopeID)
	r := app.LinkReceipt{
		ConsentID: "01938f5e-0000-7000-8000-00000000c0de", Decision: shop.DecisionDeclined, TypedName: a.TypedName,
		AnsweredAt: "2026-11-25T14:05:00Z", SHA256: v.SHA256, Wording: v.Document.Wording(way),
	}
	if way != nil {
		r.Decision, r.WayTitle, r.Gross = shop.DecisionAgreed, way.Title, way.High.Gross
	}
	v.State, v.Receipt = app.LinkDecided, &r
	return v
}

// newPages gives pages over a fake with the document, at a set time.
func newPages(t testing.TB, d app.OfferDocument) (*web.Pages, *fakeOffers) {
	t.Helper()
	return newPagesOf(t, d, []byte(smallContract))
}

// smallContract is the least that the reading page takes, to keep tests quick.
const smallContract = "info: {title: Small}\ntags: [{name: A}]\npaths: {/a: {get: {tags: [A], operationId: a, summary: Ask}}}"

func newPagesOf(t testing.TB, d app.OfferDocument, contract []byte) (*web.Pages, *fakeOffers) {
	t.Helper()
	fake := &fakeOffers{view: viewOf(t, d)}
	p, err := web.New(web.Options{Offers: fake, Contract: contract, Now: func() time.Time { return time.Date(2026, 11, 25, 13, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	return p, fake
}

func viewOf(t testing.TB, d app.OfferDocument) app.LinkView {
	t.Helper()
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(text)
	return app.LinkView{State: app.LinkOpen, Document: d, SHA256: hex.EncodeToString(sum[:]), DecideTill: "2026-11-28T12:00:00Z"}
}

// minor gives a place for an amount.
func minor(a money.Amount) *money.Amount { return &a }

// rattle is an invented offer of an invented shop: a parallel twin with a
// rattle at the cam chain side.
func rattle() app.OfferDocument {
	return app.OfferDocument{
		Version: 1, Number: 1042, Offer: 2, Machine: "Halvorsen Parallel 650, 2019", Kind: shop.ScopeKindRepair,
		Shop: app.OfferShop{
			Name: "Quay Street Motorcycles", Phone: "+1 555 0100 142", Address: "12 Quay Street\nHarbour End",
			Registration: "Example 00417", TimeZone: "Europe/Oslo",
		},
		Job: "Rattle on the right side of the engine, loudest when cold", AskedAt: "2026-11-25T09:12:00Z",
		PriceTill: "2026-12-11", Currency: "USD", TaxMode: shop.TaxModeExclusive,
		Concerns: []app.OfferConcern{
			{Words: "It rattles like a tin of nails for the first two minutes. Last week it started to do it warm as well.", Answer: shop.AnswerFinding},
			{Words: "Once it cut out at a red light.", Answer: shop.AnswerNotReproduced, Note: "Idled for 40 minutes, hot and cold, and ridden 12 miles before we opened it."},
		},
		Findings: []app.OfferFinding{
			{Component: "Cam chain tensioner", Grade: new(int64(4)), DamageMode: shop.DamageModeSeized, SafeToRide: shop.YesNoNo, Advised: shop.AdvisedReplace, FirstCause: true},
			{Component: "Cam chain", Grade: new(int64(3)), DamageMode: shop.DamageModeStretched, SafeToRide: shop.YesNoNo, Advised: shop.AdvisedReplace},
			{Component: "Cam chain guide, front", Grade: new(int64(2)), DamageMode: shop.DamageModeWorn, SafeToRide: shop.YesNoNotKnown, Advised: shop.AdvisedReplace},
			{Component: "Camshaft lobes, inlet", Grade: new(int64(1)), DamageMode: shop.DamageModeUnset, SafeToRide: shop.YesNoYes, Advised: shop.AdvisedReuse},
			{Component: "Oil filter element", Grade: new(int64(0)), SafeToRide: shop.YesNoYes, Advised: shop.AdvisedReplace},
			{Component: "Oil pump", SafeToRide: shop.YesNoNotKnown, NotLooked: "It sits behind the clutch. To see it, the right cover has to come off."},
		},
		Ways: []app.OfferWay{
			{
				ScopeID: "01938f5e-0000-7000-8000-00000000000a", Title: "New tensioner, chain and guides",
				WhatWeDo:     "We fit a new tensioner, cam chain and both guides, set the timing, check valve clearance, and change oil and filter. Then we listen cold and hot and ride it.",
				StaysUnknown: "Whether plastic from the worn guide reached the oil pump. We clean the screen but do not open the pump.",
				EarliestOn:   "2026-12-04", MayRide: shop.RideAnswerAfterWork, RideNote: "We check the oil screen again after 300 miles.",
				Warranty: "12 months or 6,000 miles on these parts and this work.", Deposit: minor(20000),
				Lines: []app.OfferLine{
					{LineID: "l1", Kind: shop.LineKindLabour, Description: "Opening up and closing, once", Certainty: shop.CertaintyCertain, Low: 31000, High: 31000},
					{LineID: "l2", Kind: shop.LineKindPart, Description: "Tensioner, cam chain, guides, gaskets", Certainty: shop.CertaintyCertain, Low: 28640, High: 28640},
					{LineID: "l3", Kind: shop.LineKindConsumable, Description: "Oil 2.8 l and filter", Certainty: shop.CertaintyCertain, Low: 4480, High: 4480},
					{LineID: "l4", Kind: shop.LineKindPart, Description: "Cam sprocket, if a tooth is hooked", Certainty: shop.CertaintyPossible, Low: 0, High: 9650},
				},
				Low:  app.OfferSum{Net: 64120, Tax: 5290, Gross: 69410},
				High: app.OfferSum{Net: 73770, Tax: 6086, Gross: 79856},
			},
			{
				ScopeID: "01938f5e-0000-7000-8000-00000000000b", Title: "The same, and open the oil pump",
				WhatWeDo:     "All of the work above. We also take off the right cover, open the oil pump, clean it and measure it.",
				StaysUnknown: "Very small plastic in narrow oil ways. Nobody can see into those without splitting the engine.",
				EarliestOn:   "2026-12-09", MayRide: shop.RideAnswerAfterWork,
				Warranty: "12 months or 6,000 miles on these parts and this work.", Deposit: minor(20000),
				Terms: &shop.TeardownTerms{
					AreaOrComponent: "Right engine cover, clutch and oil pump", TeardownCost: "USD 186.00", ReassemblyCost: "USD 186.00",
					PartsAndLaborDestroyed: "One cover gasket, two oil seals", MaxReassemblyTime: "10 working days from your yes",
				},
				Lines: []app.OfferLine{
					{LineID: "m1", Kind: shop.LineKindLabour, Description: "Opening up and closing, once", Certainty: shop.CertaintyCertain, Low: 49600, High: 49600},
					{LineID: "m2", Kind: shop.LineKindPart, Description: "Tensioner, cam chain, guides, gaskets", Certainty: shop.CertaintyCertain, Low: 33120, High: 33120},
					{LineID: "m3", Kind: shop.LineKindPart, Description: "Oil pump, if it is scored", Certainty: shop.CertaintyPossible, Low: 0, High: 24400},
				},
				Low:  app.OfferSum{Net: 82720, Tax: 6824, Gross: 89544},
				High: app.OfferSum{Net: 107120, Tax: 8837, Gross: 115957},
			},
			{
				ScopeID: "01938f5e-0000-7000-8000-00000000000c", Title: "Put it back as it was",
				WhatWeDo:     "We close the engine with the old parts and the old oil. The rattle stays.",
				StaysUnknown: "When the chain will jump or break.", MayRide: shop.RideAnswerNo, RideNote: "It leaves on a trailer.",
				Lines: []app.OfferLine{
					{LineID: "n1", Kind: shop.LineKindLabour, Description: "Closing up", Certainty: shop.CertaintyCertain, Low: 9300, High: 9300},
				},
				Low:  app.OfferSum{Net: 9300, Tax: 767, Gross: 10067},
				High: app.OfferSum{Net: 9300, Tax: 767, Gross: 10067},
			},
		},
		Rule: json.RawMessage(`{"id":"STRICT","name":"Strict default","citation":"none: this program's own default","retrieved":"2026-11-25","verified_on":null}`),
		Cautions: []string{
			"A cam chain that jumps can stop the engine and lock the rear wheel while you ride.",
			"Limits and steps come from the maker’s service manual for this machine. Ask us to show you the page.",
			"The law where you live decides what you must be told and what you owe.",
		},
		Statement: "You may answer on paper or by phone instead, at no cost: call us. Your typed name on this page is a simple electronic signature. We keep the answer with the exact offer you were shown.",
	}
}
