package app_test

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

// moneySource makes ids and bytes.
type moneySource struct{}

func (moneySource) ID() string     { return uuid.Must(uuid.NewV7()).String() }
func (moneySource) Bytes(b []byte) { _, _ = rand.Read(b) }

// moneyTokens makes link tokens: prefix, shop, a dot, random text.
type moneyTokens struct{ app.Tokens }

func (moneyTokens) NewOpaque(kind app.TokenKind, scope shop.ShopID) (string, string, error) {
	text := string(kind) + "_" + string(scope) + "." + rand.Text()
	return text, hashOf(text), nil
}

func (moneyTokens) ParseOpaque(kind app.TokenKind, text string) (shop.ShopID, string, error) {
	rest, ok := strings.CutPrefix(text, string(kind)+"_")
	scope, _, dot := strings.Cut(rest, ".")
	if !ok || !dot {
		return "", "", errors.New("no token")
	}
	return shop.ShopID(scope), hashOf(text), nil
}

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// moneyBench is a shop with one work order and one job, in a real database.
type moneyBench struct {
	t     *testing.T
	ctx   context.Context
	app   *app.App
	clock *testkit.Clock
	who   auth.Principal
	order shop.WorkOrder
	job   shop.Job
	day   shop.Date // until which prices hold
}

const moneyYear = 2019

// newMoneyBench opens the bench; set changes the shop before it is stored.
func newMoneyBench(t *testing.T, set func(*shop.Shop)) *moneyBench {
	t.Helper()
	opt := store.Options{Folder: storetest.Folder(t)}
	if os.Getenv(testkit.ServerVariable) != "" {
		opt = store.Options{PostgresURL: storetest.Address(t)}
	}
	return newMoneyBenchOn(t, opt, set)
}

func newMoneyBenchOn(t *testing.T, opt store.Options, set func(*shop.Shop)) *moneyBench {
	t.Helper()
	clock := testkit.NewClock(time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC))
	opt.Now = clock.Now
	s, err := store.Open(opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	if err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	src := moneySource{}
	b := &moneyBench{t: t, ctx: t.Context(), clock: clock, day: "2026-03-09",
		app: app.New(app.Options{Store: s, Source: src, Tokens: moneyTokens{}, PublicURL: "https://bench.example/"})}
	b.who = auth.Principal{Kind: auth.KindStaff, ShopID: shop.ShopID(src.ID()), StaffID: shop.StaffID(src.ID()),
		Roles: []shop.Role{shop.RoleOwner}, SessionID: shop.SessionID(src.ID()), AuthTime: clock.Now()}
	b.fill(set)
	return b
}

func (b *moneyBench) write(fn func(tx app.Tx) error) {
	b.t.Helper()
	err := b.app.Store.Write(b.ctx, b.who.ShopID, func(_ context.Context, tx app.Tx) error { return fn(tx) })
	if err != nil {
		b.t.Fatal(err)
	}
}

func (b *moneyBench) insert(rows ...app.Noun) {
	b.t.Helper()
	b.write(func(tx app.Tx) error {
		for _, r := range rows {
			if err := tx.Insert(r); err != nil {
				return err
			}
		}
		return nil
	})
}

func (b *moneyBench) fill(set func(*shop.Shop)) {
	b.t.Helper()
	id, year := moneySource{}.ID, int64(moneyYear)
	sh := shop.Shop{ID: b.who.ShopID, Name: "Quillmoor Cycle Works", Slug: "quillmoor", Currency: "USD", TaxMode: shop.TaxModeExclusive,
		Rounding: string(money.HalfUp), TimeZone: "America/New_York", Caution: "Ask before you lift."}
	if set != nil {
		set(&sh)
	}
	customer := shop.Customer{ID: shop.CustomerID(id()), Name: "Wren Ashdown", Kind: shop.CustomerKindPerson, Phone: "+1 555 0100", Email: "wren@example.test", Address: "1 Fell Road", ContactBy: shop.ContactByPhone}
	machine := shop.Machine{ID: shop.MachineID(id()), CustomerID: customer.ID, Make: "Tarn", Model: "Heron 400", Year: &year, VINVerdict: shop.VINVerdictUnknown}
	b.order = shop.WorkOrder{ID: shop.WorkOrderID(id()), Number: 7, MachineID: machine.ID, CustomerID: customer.ID, Channel: shop.ChannelWalkIn, OpenedBy: b.who.StaffID, OpenedAt: b.clock.Now()}
	b.write(func(tx app.Tx) error { return tx.ClaimSlug(sh.Slug) })
	b.insert(&sh,
		&shop.Staff{ID: b.who.StaffID, Login: "owner", Name: "Ivo", Roles: b.who.Roles},
		&shop.TaxCategory{ID: shop.TaxCategoryID(id()), Code: "full", Label: "Tax 8.25 %", RatePPM: 82_500},
		&customer, &machine, &b.order)
	b.job = b.newJob("Noise from the gear case")
	b.insert(&shop.Complaint{ID: shop.ComplaintID(id()), OfJob: b.of(b.job), Kind: shop.JobKindComplaint, Words: "It howls in third.", Symptom: shop.SymptomNoise, Origin: b.origin()})
}

func (b *moneyBench) newJob(title string) shop.Job {
	b.t.Helper()
	job := shop.Job{ID: shop.JobID(moneySource{}.ID()), WorkOrderID: b.order.ID, Title: title, Kind: shop.JobKindComplaint, Stage: shop.StageAuthorization, StageSince: b.clock.Now()}
	b.insert(&job)
	return job
}

func (b *moneyBench) of(job shop.Job) shop.OfJob {
	return shop.OfJob{WorkOrderID: b.order.ID, JobID: job.ID}
}

func (b *moneyBench) origin() shop.Origin {
	return shop.Origin{RecordedBy: b.who.StaffID, ReceivedAt: b.clock.Now()}
}

// part adds a part line at a price in minor units.
func (b *moneyBench) part(job shop.Job, price money.Amount) shop.Line {
	b.t.Helper()
	l := shop.Line{ID: shop.LineID(moneySource{}.ID()), OfJob: b.of(job), Kind: shop.LineKindPart, Description: "Gear pair", Work: shop.LineWorkRepair,
		QuantityMilli: 1000, UnitPrice: price, TaxCategory: "full", Certainty: shop.CertaintyCertain, State: shop.LineStateProposed, Origin: b.origin()}
	b.insert(&l)
	return l
}

// scope makes a way forward of lines.
func (b *moneyBench) scope(kind shop.ScopeKind, lines ...shop.Line) shop.Scope {
	b.t.Helper()
	sc := shop.Scope{ID: shop.ScopeID(moneySource{}.ID()), OfJob: lines[0].OfJob, Title: "Put it right", Kind: kind, WhatWeDo: "New gears.", EarliestOn: "2026-03-20", MayRide: shop.RideAnswerAfterWork, Origin: b.origin()}
	for _, l := range lines {
		sc.LineIDs = append(sc.LineIDs, string(l.ID))
	}
	b.insert(&sc)
	return sc
}

func (b *moneyBench) offer(scopes ...shop.Scope) shop.Offer {
	b.t.Helper()
	in := app.NewOffer{JobID: scopes[0].JobID, PriceUntil: b.day}
	for _, sc := range scopes {
		in.ScopeIDs = append(in.ScopeIDs, string(sc.ID))
	}
	o, err := b.app.MakeOffer(b.ctx, b.who, in)
	if err != nil {
		b.t.Fatal(err)
	}
	return o
}

// token makes a link for an offer and gives its token.
func (b *moneyBench) token(o shop.Offer) string {
	b.t.Helper()
	_, address, err := b.app.MakeOfferLink(b.ctx, b.who, o.ID, 72, "")
	if err != nil {
		b.t.Fatal(err)
	}
	token, ok := strings.CutPrefix(address, "https://bench.example/c/")
	if !ok {
		b.t.Fatalf("address %q", address)
	}
	return token
}

func yes(token string, o shop.Offer, sc shop.Scope) app.LinkAnswer {
	return app.LinkAnswer{Token: token, SHA256: o.SHA256, ScopeID: sc.ID, TypedName: "Wren Ashdown", Agreed: true, Electronic: true, IP: "192.0.2.7", UserAgent: "browser"}
}

// agree offers lines as one way and has the customer say yes by link.
func (b *moneyBench) agree(kind shop.ScopeKind, lines ...shop.Line) app.LinkView {
	b.t.Helper()
	sc := b.scope(kind, lines...)
	o := b.offer(sc)
	view, err := b.app.LinkDecide(b.ctx, yes(b.token(o), o, sc))
	if err != nil {
		b.t.Fatal(err)
	}
	return view
}

func moneyLoad[T any, P interface {
	*T
	app.Noun
}](b *moneyBench, id string) T {
	b.t.Helper()
	var row T
	b.write(func(tx app.Tx) error { return tx.Load(P(&row), id) })
	return row
}

func (b *moneyBench) line(l shop.Line) shop.Line { return moneyLoad[shop.Line](b, string(l.ID)) }

// done marks lines done, at another price where one is given.
func (b *moneyBench) done(price money.Amount, lines ...shop.Line) {
	b.t.Helper()
	for _, l := range lines {
		now := b.clock.Now()
		got := b.line(l)
		got.State, got.DoneAt, got.DoneBy = shop.LineStateDone, &now, b.who.StaffID
		if price > 0 {
			got.UnitPrice = price
		}
		b.write(func(tx app.Tx) error { return tx.Advance(&got) })
	}
}

func (b *moneyBench) check() app.ConsentCheck {
	b.t.Helper()
	got, err := b.app.CheckConsent(b.ctx, b.who, b.job.ID)
	if err != nil {
		b.t.Fatal(err)
	}
	return got
}

func wantMoneyFault(t *testing.T, err error, kind fault.Kind, code string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || f.Kind != kind || f.Code != code {
		t.Fatalf("error = %v, want %s", err, code)
	}
}

func pointersOf(err error) []string {
	var f *fault.Error
	if !errors.As(err, &f) {
		return nil
	}
	var out []string
	for _, field := range f.Fields {
		out = append(out, field.Pointer)
	}
	return out
}

// scriptHash is the hash of what is read out for an offer.
func scriptHash(t interface{ Fatal(...any) }, o shop.Offer) string {
	var doc app.OfferDocument
	if err := json.Unmarshal(o.Document, &doc); err != nil {
		t.Fatal(err)
	}
	return app.HashText(doc.Script())
}

// takenBack is a full record of a yes taken back at the counter.
func takenBack(reason string) shop.ConsentEnding {
	return shop.ConsentEnding{Reason: reason, Method: shop.ConsentMethodInPerson, TypedName: "Wren Ashdown", Relation: "owner", IdentifiedHow: "showed the key"}
}
