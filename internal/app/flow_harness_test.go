package app_test

import (
	"context"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

// flowSource counts ids up in the form of UUIDv7.
type flowSource struct{ n atomic.Int64 }

func (s *flowSource) ID() string { return fmt.Sprintf("01990000-0000-7000-8000-%012x", s.n.Add(1)) }

func (s *flowSource) Bytes(b []byte) {
	for i := range b {
		b[i] = byte(s.n.Add(1))
	}
}

// flowShop is an invented shop over a real SQLite store.
type flowShop struct {
	t     *testing.T
	ctx   context.Context
	store *store.Store
	app   *app.App
	src   *flowSource
	clock *testkit.Clock
	who   auth.Principal // owner, advisor and technician; rides
	other shop.StaffID   // a second technician, who does not ride
	alias shop.StaffID   // another account of who
	cust  shop.CustomerID
	mach  shop.MachineID
	// visit under test
	order shop.WorkOrderID
	job   shop.JobID
}

const flowShopID = shop.ShopID("01980000-0000-7000-8000-000000000001")

func newFlowShop(t *testing.T) *flowShop {
	t.Helper()
	s := &flowShop{t: t, ctx: context.Background(), src: &flowSource{}, clock: testkit.NewClock(time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC))}
	var err error
	s.store, err = store.Open(store.Options{Folder: storetest.Folder(t), Now: s.clock.Now})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.store.Close() })
	if err := s.store.Migrate(s.ctx); err != nil {
		t.Fatal(err)
	}
	s.app = app.New(app.Options{Store: s.store, Source: s.src})
	s.who = auth.Principal{Kind: auth.KindStaff, ShopID: flowShopID, StaffID: s.staffID(), Roles: shop.RoleValues(), SessionID: "x", AuthTime: s.clock.Now()}
	s.other, s.alias = s.staffID(), s.staffID()
	s.cust, s.mach = shop.CustomerID(s.src.ID()), shop.MachineID(s.src.ID())
	s.write(func(tx app.Tx) error { return tx.ClaimSlug("hillside") })
	s.insert(&shop.Shop{ID: flowShopID, Name: "Hillside", Slug: "hillside", Currency: "USD", TaxMode: shop.TaxModeExclusive, Rounding: "half_up", TimeZone: "America/Chicago"})
	s.insert(&shop.Staff{ID: s.who.StaffID, Login: "ann", Name: "Ann", Roles: shop.RoleValues(), Rides: true})
	s.insert(&shop.Staff{ID: s.other, Login: "bo", Name: "Bo", Roles: []shop.Role{shop.RoleTechnician}})
	s.insert(&shop.Staff{ID: s.alias, Login: "ann2", Name: "Ann", Roles: []shop.Role{shop.RoleTechnician}, SamePersonAsID: s.who.StaffID})
	s.insert(&shop.Customer{ID: s.cust, Name: "Invented Person", Kind: shop.CustomerKindPerson, Phone: "555-0100", ContactBy: shop.ContactByPhone})
	s.insert(&shop.Machine{ID: s.mach, CustomerID: s.cust, VINVerdict: shop.VINVerdictUnknown, Make: "Example", Model: "One"})
	s.insert(&shop.TaxCategory{ID: shop.TaxCategoryID(s.src.ID()), Code: "none", Label: "No tax"})
	return s
}

func (s *flowShop) staffID() shop.StaffID { return shop.StaffID(s.src.ID()) }

func (s *flowShop) write(fn func(app.Tx) error) {
	s.t.Helper()
	err := s.store.Write(s.ctx, flowShopID, func(_ context.Context, tx app.Tx) error { return fn(tx) })
	if err != nil {
		s.t.Fatal(err)
	}
}

func (s *flowShop) insert(row app.Noun) {
	s.t.Helper()
	s.write(func(tx app.Tx) error { return tx.Insert(row) })
}

// edit changes a stored row behind the use cases' back.
func edit[T any, P interface {
	*T
	app.Noun
}](s *flowShop, id string, change func(*T)) {
	s.t.Helper()
	s.write(func(tx app.Tx) error {
		var row T
		if err := tx.Load(P(&row), id); err != nil {
			return err
		}
		change(&row)
		return tx.Advance(P(&row))
	})
}

// one reads a stored row.
func one[T any, P interface {
	*T
	app.Noun
}](s *flowShop, id string) T {
	s.t.Helper()
	var row T
	err := s.store.Read(s.ctx, flowShopID, func(tx app.Tx) error { return tx.Load(P(&row), id) })
	if err != nil {
		s.t.Fatal(err)
	}
	return row
}

// visit opens a work order with one job and makes them the ones under test.
func (s *flowShop) visit() {
	s.t.Helper()
	v, err := s.app.OpenWorkOrder(s.ctx, s.who, func(w *shop.WorkOrder) {
		w.MachineID, w.CustomerID, w.Channel = s.mach, s.cust, shop.ChannelWalkIn
	})
	if err != nil {
		s.t.Fatal(err)
	}
	s.order = v.ID
	s.job = s.addJob().ID
}

func (s *flowShop) addJob() shop.Job {
	s.t.Helper()
	j, err := s.app.AddJob(s.ctx, s.who, s.order, func(j *shop.Job) { j.Title, j.Kind = "Chain slack", shop.JobKindRequest })
	if err != nil {
		s.t.Fatal(err)
	}
	return j
}

func (s *flowShop) setJob(change func(*shop.Job)) { s.t.Helper(); edit(s, string(s.job), change) }

func (s *flowShop) of() shop.OfJob { return shop.OfJob{WorkOrderID: s.order, JobID: s.job} }

func (s *flowShop) made() shop.Origin {
	return shop.Origin{RecordedBy: s.who.StaffID, ReceivedAt: s.clock.Now()}
}

func (s *flowShop) at(ago time.Duration) *time.Time {
	t := s.clock.Now().Add(-ago)
	return &t
}

func (s *flowShop) finding(fill func(*shop.Finding)) shop.FindingID {
	s.t.Helper()
	f := shop.Finding{ID: shop.FindingID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Component: "clutch basket",
		Pieces: shop.PiecesNone, SafeToRide: shop.YesNoNotKnown}
	fill(&f)
	s.insert(&f)
	return f.ID
}

func (s *flowShop) complaint(fill func(*shop.Complaint)) shop.ComplaintID {
	s.t.Helper()
	c := shop.Complaint{ID: shop.ComplaintID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Kind: shop.JobKindComplaint, Words: "it rattles", Symptom: shop.SymptomNoise}
	fill(&c)
	s.insert(&c)
	return c.ID
}

func (s *flowShop) line(fill func(*shop.Line)) shop.LineID {
	s.t.Helper()
	l := shop.Line{ID: shop.LineID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Kind: shop.LineKindLabour, Description: "adjust the chain",
		Work: shop.LineWorkRepair, Minutes: 30, UnitPrice: 9000, TaxCategory: "none", Certainty: shop.CertaintyCertain, State: shop.LineStateProposed}
	fill(&l)
	s.insert(&l)
	return l.ID
}

func (s *flowShop) fastening(fill func(*shop.Fastening)) shop.FasteningID {
	s.t.Helper()
	f := shop.Fastening{ID: shop.FasteningID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Component: "rear axle", Joint: "nut",
		SafetyClass: shop.SafetyClassCritical, JointCondition: shop.JointConditionDry, NewFastener: shop.NewFastenerNo}
	fill(&f)
	s.insert(&f)
	return f.ID
}

// road stores a road test whose checks are all good and were made just now.
func (s *flowShop) road(fill func(*shop.RoadTest)) shop.RoadTestID {
	s.t.Helper()
	ok := shop.PreRideOk
	r := shop.RoadTest{ID: shop.RoadTestID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Kind: shop.RunKindRide, Brakes: ok, Wheels: ok, Steering: ok,
		Throttle: ok, Chain: ok, Leaks: ok, Lights: ok, CheckedAt: s.at(0), RiderID: s.who.StaffID, OdometerOut: km("12040")}
	fill(&r)
	s.insert(&r)
	return r.ID
}

func (s *flowShop) handOver(fill func(*shop.HandOver)) {
	s.t.Helper()
	h := shop.HandOver{ID: s.job, OfJob: s.of(), Origin: s.made(), Transport: shop.TransportRidden, OldParts: shop.OldPartsDoneNoneReplaced}
	fill(&h)
	s.insert(&h)
}

func km(text string) shop.Quantity {
	return shop.Quantity{Value: text, Unit: "km", Entered: text + " km"}
}

func usd(minor int64) *money.Amount { a := money.Amount(minor); return &a }

func grade(n int64) *int64 { return &n }

// unmet gives the codes a move still misses, by the view that screens read.
func (s *flowShop) unmet(move flow.Move) map[string][]fault.Gate {
	s.t.Helper()
	out, err := s.app.GetMoves(s.ctx, s.who, s.job)
	if err != nil {
		s.t.Fatal(err)
	}
	for _, o := range out.Options {
		if o.Move == move {
			codes := map[string][]fault.Gate{}
			for _, g := range o.Unmet {
				codes[g.Code] = append(codes[g.Code], g)
			}
			return codes
		}
	}
	s.t.Fatalf("the stage %s knows no move %s", out.Stage, move)
	return nil
}

func (s *flowShop) move(move flow.Move) (shop.Job, error) {
	return s.app.MoveJob(s.ctx, s.who, s.job, app.MoveRequest{Move: move})
}

// editAll changes every row of a kind that the job under test has; of a kind
// that belongs to no job, every row there is. It must find one.
func editAll[T any, P interface {
	*T
	app.Noun
}](s *flowShop, change func(*T)) {
	s.t.Helper()
	by := app.By{}
	var probe T
	if _, owned := any(&probe).(interface{ Owner() *shop.OfJob }); owned {
		by["job_id"] = s.job
	}
	n := 0
	s.write(func(tx app.Tx) error {
		var rows []T
		if err := tx.List(&rows, by, app.Page{}); err != nil {
			return err
		}
		n = len(rows)
		for i := range rows {
			change(&rows[i])
			if err := tx.Advance(P(&rows[i])); err != nil {
				return err
			}
		}
		return nil
	})
	if n == 0 {
		s.t.Fatal("there is no such row to change")
	}
}

func (s *flowShop) tag(outcome shop.TagOutcome) {
	s.t.Helper()
	id := s.src.ID()
	s.insert(&shop.Tag{ID: shop.TagID(id), OfJob: s.of(), Origin: s.made(), Number: 1, Code: id[len(id)-5:], Kind: shop.TagKindParts, Holds: "clutch plates", Outcome: outcome})
}

func (s *flowShop) holdPoint() shop.HoldPointID {
	s.t.Helper()
	h := shop.HoldPoint{ID: shop.HoldPointID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Before: "before the clutch cover goes on"}
	s.insert(&h)
	return h.ID
}

func (s *flowShop) bench(from, to *time.Time) {
	s.t.Helper()
	s.insert(&shop.BenchTime{ID: shop.BenchTimeID(s.src.ID()), OfJob: s.of(), Origin: s.made(), StaffID: s.other, StartedAt: *from, EndedAt: to})
}

func (s *flowShop) debris(fill func(*shop.DebrisCheck)) {
	s.t.Helper()
	d := shop.DebrisCheck{ID: shop.DebrisCheckID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Moment: shop.DebrisMomentRide, Sampled: shop.DebrisSamplePlug, Amount: shop.DebrisAmountNone}
	fill(&d)
	s.insert(&d)
}

func (s *flowShop) licence(until shop.Date) {
	s.t.Helper()
	edit(s, string(s.who.StaffID), func(p *shop.Staff) { p.LicenceUntil = until })
}

func (s *flowShop) photo(of shop.FindingID, stored *time.Time) {
	s.t.Helper()
	s.insert(&shop.Photo{ID: shop.PhotoID(s.src.ID()), OfJob: s.of(), Origin: s.made(), FindingID: of, StoredAt: stored})
}

func (s *flowShop) measurement(of shop.FindingID, fill func(*shop.Measurement)) {
	s.t.Helper()
	m := shop.Measurement{ID: shop.MeasurementID(s.src.ID()), OfJob: s.of(), Origin: s.made(), FindingID: of, Point: "slot width", Inputs: []byte("{}")}
	fill(&m)
	s.insert(&m)
}

// measured stores a finding of grade 3 that hangs on a measurement.
func (s *flowShop) measured(due shop.Date, source string) {
	s.t.Helper()
	g := shop.Gauge{ID: shop.GaugeID(s.src.ID()), Name: "caliper", CalibrationDueOn: due}
	s.insert(&g)
	f := s.finding(func(f *shop.Finding) { f.MeasuredGrade, f.EffectiveGrade = grade(3), grade(3) })
	s.measurement(f, func(m *shop.Measurement) { m.GaugeID, m.Grade, m.LimitSource = g.ID, grade(3), source })
}
