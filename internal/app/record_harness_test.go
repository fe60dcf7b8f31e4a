package app_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

// recSource counts up in the form of UUIDv7.
type recSource struct{ n atomic.Int64 }

func (s *recSource) ID() string { return fmt.Sprintf("01995000-0000-7000-8000-%012x", s.n.Add(1)) }

func (s *recSource) Bytes(b []byte) {
	for i := range b {
		b[i] = byte(s.n.Add(1))
	}
}

// recShop is an invented shop over a real database, with a visit of two jobs
// and another visit.
type recShop struct {
	*app.App
	t     *testing.T
	store *store.Store
	src   *recSource
	clock *testkit.Clock

	owner, advisor, tech, second, alias auth.Principal // alias is another account of tech

	order               shop.WorkOrderID
	job, sister         shop.JobID // of order
	foreignJob          shop.JobID // of another order
	wrench, staleWrench shop.GaugeID
	bodies              int
}

const recShopID = shop.ShopID("01994000-0000-7000-8000-000000000001")

func openRecShop(t *testing.T) *recShop {
	t.Helper()
	return openRecShopOver(t, store.Options{Folder: storetest.Folder(t)})
}

// onBothDatabases runs a test over a shop on each database.
func onBothDatabases(t *testing.T, test func(t *testing.T, h *recShop)) {
	t.Helper()
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); test(t, openRecShop(t)) })
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		test(t, openRecShopOver(t, store.Options{PostgresURL: storetest.Address(t)}))
	})
}

func openRecShopOver(t *testing.T, opt store.Options) *recShop {
	t.Helper()
	h := &recShop{t: t, src: &recSource{}, clock: testkit.NewClock(time.Date(2026, 3, 2, 15, 0, 0, 0, time.UTC))}
	opt.Now = h.clock.Now
	var err error
	h.store, err = store.Open(opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = h.store.Close() })
	if err := h.store.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	h.App = app.New(app.Options{Store: h.store, Source: h.src})
	h.write(func(tx app.Tx) error { return tx.ClaimSlug("willow-yard") })
	h.insert(&shop.Shop{ID: recShopID, Name: "Willow Yard", Slug: "willow-yard", Currency: "USD", TaxMode: shop.TaxModeExclusive,
		Rounding: "half_up", TimeZone: "America/Chicago"})
	h.insert(&shop.TaxCategory{ID: shop.TaxCategoryID(h.src.ID()), Code: "full", Label: "Sales tax", RatePPM: 100_000})
	h.people()
	h.wrench = h.gauge("2027-01-01")
	h.staleWrench = h.gauge("2026-03-02")
	h.order, h.job = h.visit(1)
	h.sister = h.addJob(h.order)
	_, h.foreignJob = h.visit(2)
	return h
}

func (h *recShop) people() {
	h.owner = h.person("ida", true, "", auth.RoleOwner)
	h.advisor = h.person("ada", false, "", auth.RoleAdvisor)
	h.tech = h.person("tom", true, "", auth.RoleTechnician)
	h.second = h.person("sue", false, "", auth.RoleTechnician)
	h.alias = h.person("tom2", false, h.tech.StaffID, auth.RoleTechnician)
}

func (h *recShop) person(login string, rides bool, same shop.StaffID, role auth.Role) auth.Principal {
	id := shop.StaffID(h.src.ID())
	h.insert(&shop.Staff{ID: id, Login: login, Name: login, Roles: []shop.Role{role}, Rides: rides, SamePersonAsID: same})
	return auth.Principal{Kind: auth.KindStaff, ShopID: recShopID, StaffID: id, Roles: []auth.Role{role}, SessionID: "s", AuthTime: h.clock.Now()}
}

// fresh is the same person who has just signed on again.
func (h *recShop) fresh(who auth.Principal) auth.Principal {
	who.AuthTime = h.clock.Now()
	return who
}

func (h *recShop) gauge(due shop.Date) shop.GaugeID {
	id := shop.GaugeID(h.src.ID())
	h.insert(&shop.Gauge{ID: id, Name: "click wrench", Kind: "torque wrench", CalibrationDueOn: due})
	return id
}

func (h *recShop) visit(number int64) (shop.WorkOrderID, shop.JobID) {
	customer, machine, order := shop.CustomerID(h.src.ID()), shop.MachineID(h.src.ID()), shop.WorkOrderID(h.src.ID())
	h.insert(&shop.Customer{ID: customer, Name: "Invented Person", Kind: shop.CustomerKindPerson, Phone: "555-0100", ContactBy: shop.ContactByPhone})
	h.insert(&shop.Machine{ID: machine, CustomerID: customer, VINVerdict: shop.VINVerdictUnknown, Make: "Example", Model: "One"})
	h.insert(&shop.WorkOrder{ID: order, Number: number, MachineID: machine, CustomerID: customer, Channel: shop.ChannelWalkIn,
		OpenedBy: h.advisor.StaffID, OpenedAt: h.clock.Now()})
	return order, h.addJob(order)
}

func (h *recShop) addJob(order shop.WorkOrderID) shop.JobID {
	id := shop.JobID(h.src.ID())
	h.insert(&shop.Job{ID: id, WorkOrderID: order, Title: "Knocks when hot", Kind: shop.JobKindComplaint,
		Stage: shop.StageIntake, StageSince: h.clock.Now()})
	return id
}

func (h *recShop) write(fn func(app.Tx) error) {
	h.t.Helper()
	err := h.store.Write(h.t.Context(), recShopID, func(_ context.Context, tx app.Tx) error { return fn(tx) })
	if err != nil {
		h.t.Fatal(err)
	}
}

func (h *recShop) insert(row app.Noun) {
	h.t.Helper()
	h.write(func(tx app.Tx) error { return tx.Insert(row) })
}

// recSet changes a stored row behind the use cases' back.
func recSet[T any, P interface {
	*T
	app.Noun
}, K ~string](h *recShop, id K, change func(*T)) {
	h.t.Helper()
	h.write(func(tx app.Tx) error {
		var row T
		if err := tx.Load(P(&row), string(id)); err != nil {
			return err
		}
		change(&row)
		return tx.Advance(P(&row))
	})
}

// recRow reads a stored row.
func recRow[T any, P interface {
	*T
	app.Noun
}, K ~string](h *recShop, id K) T {
	h.t.Helper()
	var row T
	err := h.store.Read(h.t.Context(), recShopID, func(tx app.Tx) error { return tx.Load(P(&row), string(id)) })
	if err != nil {
		h.t.Fatal(err)
	}
	return row
}

func (h *recShop) stage(to shop.Stage) {
	h.t.Helper()
	recSet(h, h.job, func(j *shop.Job) { j.Stage, j.StageSince = to, h.clock.Now() })
}

// recPutter is one of the use cases that store a record.
type recPutter[T any] func(context.Context, auth.Principal, app.Put, func(*T)) (T, bool, error)

func (h *recShop) body() string { h.bodies++; return fmt.Sprintf("%064x", h.bodies) }

// recNew creates a record of the job under test.
func recNew[T any](h *recShop, who auth.Principal, put recPutter[T], fill func(*T)) (T, error) {
	h.t.Helper()
	row, _, err := put(h.t.Context(), who, app.Put{JobID: h.job, ID: h.src.ID(), Create: true, Digest: h.body()}, fill)
	return row, err
}

// recMust is recNew where it has to work.
func recMust[T any](h *recShop, who auth.Principal, put recPutter[T], fill func(*T)) T {
	h.t.Helper()
	row, err := recNew(h, who, put, fill)
	if err != nil {
		h.t.Fatal(err)
	}
	return row
}

// recEdit changes a record at its current version.
func recEdit[T any, P app.Record[T]](h *recShop, who auth.Principal, put recPutter[T], row T, change func(*T)) (T, error) {
	h.t.Helper()
	p := P(&row)
	now, _, err := put(h.t.Context(), who, app.Put{JobID: p.Owner().JobID, ID: p.Key(), Match: p.Head().Version, Digest: h.body()}, func(n *T) {
		P(n).Made().CapturedAt = nil
		change(n)
	})
	return now, err
}

func recAt[T any, P app.Record[T]](row T) app.Place {
	return app.Place{JobID: P(&row).Owner().JobID, ID: P(&row).Key()}
}

// recRefused makes sure that an error is the one meant, at the fields meant.
func recRefused(t *testing.T, err error, kind fault.Kind, code string, pointers ...string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) {
		t.Fatalf("got %v, want %s", err, code)
	}
	if f.Kind != kind || f.Code != code {
		t.Fatalf("got kind %d, %v, want kind %d, %s", f.Kind, f, kind, code)
	}
	var at []string
	for _, field := range f.Fields {
		at = append(at, field.Pointer)
		if field.Message == "" {
			t.Errorf("%s at %s says nothing", code, field.Pointer)
		}
	}
	if len(pointers) > 0 && !slices.Equal(at, pointers) {
		t.Errorf("%s points at %v, want %v", code, at, pointers)
	}
}

// recGates makes sure that an error lists exactly these gates.
func recGates(t *testing.T, err error, want ...string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || f.Kind != fault.Gates {
		t.Fatalf("got %v, want gates %v", err, want)
	}
	got := []string{}
	for _, g := range f.Gates {
		got = append(got, g.Code)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("gates (-want +got):\n%s", diff)
	}
}

func recQuantity(value, unit string) shop.Quantity { return shop.Quantity{Value: value, Unit: unit} }

func recCents(n int64) *money.Amount { a := money.Amount(n); return &a }

func recFinding(f *shop.Finding) {
	f.Component, f.Pieces, f.SafeToRide = "cam chain tensioner", shop.PiecesNone, shop.YesNoNotKnown
}

func recComplaint(c *shop.Complaint) {
	c.Kind, c.Words, c.Symptom = shop.JobKindComplaint, "it knocks", shop.SymptomNoise
}

// recLine is an hour at 100.00, before 10 % tax.
func recLine(l *shop.Line) {
	l.Kind, l.Description, l.Work, l.Minutes = shop.LineKindLabour, "fit a tensioner", shop.LineWorkRepair, 60
	l.UnitPrice, l.TaxCategory, l.Certainty = 10_000, "full", shop.CertaintyCertain
}

func recFastening(f *shop.Fastening) {
	f.Component, f.Joint, f.SafetyClass, f.Target = "clutch cover", "cover bolts", shop.SafetyClassOrdinary, recQuantity("10", "N.m")
	f.JointCondition, f.NewFastener, f.Source = shop.JointConditionDry, shop.NewFastenerNo, "Example manual, 2nd edition, page 7"
}

func recCritical(f *shop.Fastening) {
	recFastening(f)
	f.Component, f.Joint, f.SafetyClass, f.Target = "rear axle", "nut", shop.SafetyClassCritical, recQuantity("100", "N.m")
}

// offer puts a way forward with a line before the customer.
func (h *recShop) offer(line shop.LineID) (shop.Scope, shop.OfferID) {
	h.t.Helper()
	s := recMust(h, h.advisor, h.PutScope, func(s *shop.Scope) {
		s.Title, s.Kind, s.WhatWeDo, s.MayRide, s.LineIDs = "New tensioner", shop.ScopeKindRepair, "fit it", shop.RideAnswerNotKnown, []string{string(line)}
	})
	id := shop.OfferID(h.src.ID())
	h.insert(&shop.Offer{ID: id, OfJob: s.OfJob, Number: h.src.n.Add(1), Kind: s.Kind, ScopeIDs: []string{string(s.ID)}, Document: []byte("{}"),
		PriceUntil: "2026-04-01", State: shop.OfferStateOpen, AskedBy: h.advisor.StaffID, AskedAt: h.clock.Now()})
	return s, id
}

func (h *recShop) consent(kind shop.ConsentKind, limit *money.Amount, change func(*shop.Consent)) shop.ConsentID {
	h.t.Helper()
	g := shop.Consent{ID: shop.ConsentID(h.src.ID()), OfJob: shop.OfJob{WorkOrderID: h.order, JobID: h.job}, Kind: kind, Decision: shop.DecisionAgreed,
		Method: shop.ConsentMethodInPerson, TypedName: "Invented Person", Relation: "owner", IdentifiedHow: "brought the key", Note: "brakes and what belongs to them", TakenBy: h.advisor.StaffID, SaidAt: h.clock.Now(), LimitAmount: limit}
	if change != nil {
		change(&g)
	}
	h.insert(&g)
	return g.ID
}
