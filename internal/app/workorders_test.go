package app_test

import (
	"errors"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// codeOf gives the code of a fault, or the error's text.
func codeOf(err error) string {
	var f *fault.Error
	if errors.As(err, &f) {
		return f.Code
	}
	if err == nil {
		return ""
	}
	return err.Error()
}

func TestOpenWorkOrder(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	open := func(fill func(*shop.WorkOrder)) (app.Visit, error) {
		return s.app.OpenWorkOrder(s.ctx, s.who, func(w *shop.WorkOrder) {
			w.MachineID, w.CustomerID, w.Channel = s.mach, s.cust, shop.ChannelPhone
			fill(w)
		})
	}
	s.insert(&shop.Bay{ID: "01960000-0000-7000-8000-000000000001", Name: "old", Retired: true})
	for i := int64(1); i <= 2; i++ {
		v, err := open(func(w *shop.WorkOrder) { w.Number, w.ID = 77, "mine"; w.ClosedAt = s.at(0) })
		if err != nil || v.Number != i || v.Stage != "" || v.ClosedAt != nil || v.OpenedBy != s.who.StaffID || v.Version != 1 || v.ID == "mine" {
			t.Fatalf("%+v, %v", v, err)
		}
		s.order = v.ID
		if n := s.entries(); n != 1 {
			t.Errorf("opening made %d entries", n)
		}
	}
	for want, fill := range map[string]func(*shop.WorkOrder){
		"app.reference_unknown": func(w *shop.WorkOrder) { w.MachineID = shop.MachineID(s.src.ID()) },
		"app.bay_retired":       func(w *shop.WorkOrder) { w.BayID = "01960000-0000-7000-8000-000000000001" },
	} {
		if _, err := open(fill); codeOf(err) != want || !fault.Is(err, fault.Meaning) {
			t.Errorf("%v, want %s", err, want)
		}
	}
	list, err := s.app.ListWorkOrders(s.ctx, s.who, app.Page{Limit: 1})
	if err != nil || len(list) != 1 || list[0].Number != 2 {
		t.Fatalf("the newest comes first: %+v, %v", list, err)
	}
	list, err = s.app.ListWorkOrders(s.ctx, s.who, app.Page{Limit: 1, After: string(list[0].ID)})
	if err != nil || len(list) != 1 || list[0].Number != 1 {
		t.Fatalf("the next page: %+v, %v", list, err)
	}
}

func TestPutWorkOrder(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	other := shop.Customer{ID: shop.CustomerID(s.src.ID()), Name: "Someone Invented", Kind: shop.CustomerKindPerson, ContactBy: shop.ContactByPhone}
	s.insert(&other)
	put := func(version int64, fill func(*shop.WorkOrder)) (app.Visit, error) {
		return s.app.PutWorkOrder(s.ctx, s.who, app.OrderVersion{ID: s.order, Version: version}, fill)
	}
	v, err := put(1, func(w *shop.WorkOrder) { w.Note, w.CustomerID, w.Number, w.OpenedBy = "red", other.ID, 99, s.other })
	if err != nil || v.Note != "red" || v.CustomerID != other.ID || v.Number != 1 || v.OpenedBy != s.who.StaffID || v.Version != 2 || v.Stage != shop.StageIntake {
		t.Fatalf("%+v, %v", v, err)
	}
	if _, err := put(1, func(*shop.WorkOrder) {}); !fault.Is(err, fault.VersionStale) {
		t.Errorf("an old version: %v", err)
	}
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageDiagnosis })
	if _, err := put(2, func(w *shop.WorkOrder) { w.CustomerID = s.cust }); codeOf(err) != "app.work_order_under_way" || !fault.Is(err, fault.Conflict) {
		t.Errorf("another customer under way: %v", err)
	}
	if got := one[shop.WorkOrder](s, string(s.order)); got.CustomerID != other.ID || got.Version != 2 {
		t.Errorf("a refused change is stored: %+v", got)
	}
	if _, err := put(2, func(w *shop.WorkOrder) { w.PromisedOn = "2026-03-09" }); err != nil {
		t.Errorf("the promise under way: %v", err)
	}
}

func TestIntakeFacts(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	put := func(p app.Put, fill func(*shop.IntakeFacts)) (shop.IntakeFacts, bool, error) {
		p.ID = string(s.order)
		return s.app.PutIntakeFacts(s.ctx, s.who, p, func(i *shop.IntakeFacts) {
			i.LeaveToRide, i.Intent, i.OldParts = shop.YesNoYes, shop.IntentKeep, shop.OldPartsReturn
			fill(i)
		})
	}
	read := func(i *shop.IntakeFacts) { i.Odometer = km("12000") }
	if _, err := s.app.GetIntakeFacts(s.ctx, s.who, s.order); !fault.Is(err, fault.NotFound) {
		t.Errorf("before they are taken down: %v", err)
	}
	if _, _, err := put(app.Put{Match: 1, Digest: "a"}, read); !fault.Is(err, fault.NotFound) {
		t.Errorf("a change of nothing: %v", err)
	}
	in, made, err := put(app.Put{Create: true, Digest: "a"}, read)
	if err != nil || !made || in.Version != 1 || in.RecordedBy != s.who.StaffID {
		t.Fatalf("%+v, %v, %v", in, made, err)
	}
	steps := []struct {
		name    string
		put     app.Put
		fill    func(*shop.IntakeFacts)
		version int64
		code    string
		entries int
		reads   int
	}{
		{"resent", app.Put{Create: true, Digest: "a"}, read, 1, "", 0, 1},
		{"another at the same id", app.Put{Create: true, Digest: "b"}, read, 0, "app.already_there", 0, 1},
		{"changed, the odometer the same", app.Put{Match: 1, Digest: "b"}, func(i *shop.IntakeFacts) { i.Keys = 2 }, 2, "", 1, 1},
		{"the change resent", app.Put{Match: 1, Digest: "b"}, func(i *shop.IntakeFacts) { i.Keys = 2 }, 2, "", 0, 1},
		{"an old version", app.Put{Match: 1, Digest: "c"}, read, 0, "store.version_stale", 0, 1},
		{"another reading", app.Put{Match: 2, Digest: "d"}, func(i *shop.IntakeFacts) { i.Odometer = km("12001") }, 3, "", 1, 2},
		{"both a reading and none", app.Put{Match: 3, Digest: "e"}, func(i *shop.IntakeFacts) { i.OdometerNotReadable = "broken" }, 0, "app.odometer_twice", 0, 2},
	}
	for _, st := range steps {
		before := s.entries()
		in, made, err := put(st.put, st.fill)
		if codeOf(err) != st.code || err == nil && in.Version != st.version || made {
			t.Errorf("%s: version %d, made %v, %v", st.name, in.Version, made, err)
		}
		if n := s.entries() - before; n != st.entries {
			t.Errorf("%s: %d entries, want %d", st.name, n, st.entries)
		}
		if n := len(s.readings()); n != st.reads {
			t.Errorf("%s: %d odometer readings, want %d", st.name, n, st.reads)
		}
	}
	for _, r := range s.readings() {
		if r.Moment != "in" || r.MachineID != s.mach || r.Reading.IsZero() {
			t.Errorf("a reading as kept: %+v", r)
		}
	}
}

func (s *flowShop) readings() (rows []shop.OdometerReading) {
	s.t.Helper()
	s.write(func(tx app.Tx) error { return tx.List(&rows, app.By{"work_order_id": s.order}, app.Page{}) })
	return rows
}

func TestIntakeFactsOfAClosedVisit(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	edit(s, string(s.order), func(w *shop.WorkOrder) { w.ClosedAt = s.at(0) })
	put := func(captured *time.Time) (shop.IntakeFacts, error) {
		in, _, err := s.app.PutIntakeFacts(s.ctx, s.who, app.Put{ID: string(s.order), Create: true, Digest: "a"}, func(i *shop.IntakeFacts) {
			i.LeaveToRide, i.Intent, i.OldParts, i.CapturedAt = shop.YesNoNo, shop.IntentNotSaid, shop.OldPartsNotSaid, captured
		})
		return in, err
	}
	if _, err := put(nil); codeOf(err) != "app.work_order_closed" {
		t.Errorf("taken down after the end: %v", err)
	}
	if in, err := put(s.at(time.Hour)); err != nil || !in.Late {
		t.Errorf("captured before the end, sent late: %+v, %v", in, err)
	}
}

func TestJobs(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	layout := shop.Layout{ID: shop.LayoutID(s.src.ID()), Code: "example", Revision: 1, Document: []byte("{}")}
	s.insert(&layout)
	sheet := shop.LimitSheet{ID: shop.LimitSheetID(s.src.ID()), Code: "example", MapCode: "example", Revision: 1, Example: true, Document: []byte("{}")}
	s.insert(&sheet)
	edit(s, string(s.mach), func(m *shop.Machine) { m.LayoutID = layout.ID })
	s.visit()
	first := one[shop.Job](s, string(s.job))
	if first.Stage != shop.StageIntake || !first.StageSince.Equal(s.clock.Now()) || first.LayoutID != layout.ID || first.LimitSheetID != sheet.ID {
		t.Fatalf("a new job: %+v", first)
	}
	put := func(version int64, fill func(*shop.Job)) (shop.Job, error) {
		return s.app.PutJob(s.ctx, s.who, app.JobVersion{ID: s.job, Version: version}, fill)
	}
	got, err := put(1, func(j *shop.Job) {
		j.Title, j.OilOut = "Chain and oil", true
		j.Stage, j.NotRun, j.OpenedUp, j.StageSince, j.WorkOrderID, j.LayoutID = shop.StageClosed, true, true, time.Time{}, "x", ""
	})
	want := first
	want.Title, want.OilOut, want.Version, want.UpdatedAt = "Chain and oil", true, 2, got.UpdatedAt
	if diff := cmp.Diff(want, got); err != nil || diff != "" {
		t.Errorf("%v: what the server says changed:\n%s", err, diff)
	}
	if _, err := put(1, func(*shop.Job) {}); !fault.Is(err, fault.VersionStale) {
		t.Errorf("an old version: %v", err)
	}
	jobs, err := s.app.ListJobs(s.ctx, s.who, s.order, app.Page{})
	if diff := cmp.Diff([]shop.Job{got}, jobs); err != nil || diff != "" {
		t.Errorf("%v, %s", err, diff)
	}
	if _, err := s.app.ListJobs(s.ctx, s.who, shop.WorkOrderID(s.src.ID()), app.Page{}); !fault.Is(err, fault.NotFound) {
		t.Errorf("jobs of no work order: %v", err)
	}
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageWithdrawn })
	if _, err := put(3, func(*shop.Job) {}); codeOf(err) != "app.job_closed" {
		t.Errorf("a change of an ended job: %v", err)
	}
}

func TestEarlierJob(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	elsewhere := shop.Machine{ID: shop.MachineID(s.src.ID()), CustomerID: s.cust, VINVerdict: shop.VINVerdictUnknown}
	s.insert(&elsewhere)
	s.visit()
	earlier := s.job
	s.visit()
	put := func(id shop.JobID) error {
		_, err := s.app.PutJob(s.ctx, s.who, app.JobVersion{ID: s.job, Version: one[shop.Job](s, string(s.job)).Version}, func(j *shop.Job) { j.EarlierJobID = id })
		return err
	}
	if err := put(earlier); err != nil {
		t.Errorf("an earlier job of the machine: %v", err)
	}
	for name, id := range map[string]shop.JobID{"itself": s.job, "unknown": shop.JobID(s.src.ID())} {
		if err := put(id); codeOf(err) != "app.earlier_job_wrong" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := s.app.PutWorkOrder(s.ctx, s.who, app.OrderVersion{ID: s.order, Version: 1}, func(w *shop.WorkOrder) { w.MachineID = elsewhere.ID }); err != nil {
		t.Fatal(err)
	}
	if j := one[shop.Job](s, string(s.job)); j.EarlierJobID != "" {
		t.Error("the visit moved to another machine and still comes back from a job of the first")
	}
	if err := put(earlier); codeOf(err) != "app.earlier_job_wrong" {
		t.Errorf("a job of another machine: %v", err)
	}
}

func TestHolds(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	s.visit()
	set := func() (shop.Hold, error) {
		return s.app.HoldJob(s.ctx, s.who, s.job, func(h *shop.Hold) { h.Reason, h.Note, h.LiftedAt = shop.HoldReasonParts, "gasket", s.at(0) })
	}
	h, err := set()
	if err != nil || h.HeldBy != s.who.StaffID || h.LiftedAt != nil || h.JobID != s.job || h.WorkOrderID != s.order {
		t.Fatalf("%+v, %v", h, err)
	}
	if _, err := set(); codeOf(err) != "app.hold_active" {
		t.Errorf("a second hold: %v", err)
	}
	out, err := s.app.GetMoves(s.ctx, s.who, s.job)
	if err != nil || out.WaitingOn != flow.WhoParts {
		t.Errorf("on hold for parts it waits on %s, %v", out.WaitingOn, err)
	}
	lifted, err := s.app.LiftHold(s.ctx, s.who, h.ID)
	if err != nil || lifted.LiftedAt == nil || lifted.LiftedBy != s.who.StaffID {
		t.Errorf("%+v, %v", lifted, err)
	}
	if _, err := s.app.LiftHold(s.ctx, s.who, h.ID); codeOf(err) != "app.hold_lifted" {
		t.Errorf("lifted twice: %v", err)
	}
	if _, err := s.app.LiftHold(s.ctx, s.who, shop.HoldID(s.src.ID())); !fault.Is(err, fault.NotFound) {
		t.Errorf("a hold nobody set: %v", err)
	}
	if _, err := set(); err != nil {
		t.Errorf("a new hold after the first: %v", err)
	}
	list, err := s.app.ListHolds(s.ctx, s.who, s.job, app.Page{})
	if err != nil || len(list) != 2 {
		t.Errorf("%d holds, %v", len(list), err)
	}
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageClosed })
	if _, err := set(); codeOf(err) != "app.job_closed" {
		t.Errorf("a hold on an ended job: %v", err)
	}
}
