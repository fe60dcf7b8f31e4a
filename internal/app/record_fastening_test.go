package app_test

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func TestFasteningRecord(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	for _, c := range []struct {
		name, code, at string
		change         func(*shop.Fastening)
	}{
		{"a cover bolt", "", "", func(*shop.Fastening) {}},
		{"to an angle", "", "", func(f *shop.Fastening) { f.Target = recQuantity("90", "deg") }},
		{"in foot-pounds", "", "", func(f *shop.Fastening) { f.Target = recQuantity("7.5", "[ft_i].[lbf_av]") }},
		{"an ordinary joint called critical", "", "", func(f *shop.Fastening) { f.SafetyClass = shop.SafetyClassCritical }},
		{"a length", "app.fastening_target_wrong", "/target", func(f *shop.Fastening) { f.Target = recQuantity("10", "mm") }},
		{"nothing", "app.fastening_target_wrong", "/target", func(f *shop.Fastening) { f.Target = recQuantity("0", "N.m") }},
		{"no target", "app.fastening_target_wrong", "/target", func(f *shop.Fastening) { f.Target = shop.Quantity{} }},
		{"no source", "app.fastening_source_missing", "/source", func(f *shop.Fastening) { f.Source = "  " }},
		{"no such hold point", "app.reference_unknown", "/hold_point_id", func(f *shop.Fastening) { f.HoldPointID = shop.HoldPointID(h.src.ID()) }},
		{"a brake called ordinary", "app.fastening_is_critical", "/safety_class", func(f *shop.Fastening) { f.Component = "front brake" }},
	} {
		_, err := recNew(h, h.tech, h.PutFastening, func(f *shop.Fastening) { recFastening(f); c.change(f) })
		if c.code == "" && err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if c.code != "" {
			t.Log(c.name)
			recRefused(t, err, fault.Meaning, c.code, c.at)
		}
	}
}

func TestCriticalJoints(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	for _, c := range []struct {
		component, joint string
		critical         bool
	}{
		{"front_brake_caliper", "bolts", true}, {"Brakes", "hose", true}, {"rear wheel", "spindle", true}, {"front.axle", "pinch bolt", true},
		{"steering head", "nut", true}, {"handlebar", "clamp", true}, {"fork leg", "cap", true}, {"swingarm", "pivot", true},
		{"swing arm", "pivot", true}, {"rear tyre", "valve", true}, {"rear tire", "valve", true}, {"throttle body", "cable", true},
		{"fuel tap", "screws", true}, {"frame", "down tube", true}, {"engine mounts", "upper", true}, {"engine", "mounting bolt", true},
		{"side stand", "pivot", true}, {"sidestand", "switch", true}, {"centre", "stand spring", true}, {"engine", "oil drain plug", true},
		{"oil pan", "drain plug", true}, {"sump plug", "thread", true}, {"oil filter", "housing", true}, {"rear sprocket", "nuts", true},
		{"chain", "joining link", true}, {"BRAKE", "disc", true}, {"front-wheel", "nut", true},
		{"flywheel", "nut", false}, {"clutch cover", "bolts", false}, {"cylinder head", "nuts", false}, {"standpipe", "screw", false},
		{"coolant pump", "drain screw", false}, {"valve cover", "bolts", false}, {"oil pump", "screws", false}, {"reframed panel", "clips", false},
	} {
		_, err := recNew(h, h.tech, h.PutFastening, func(f *shop.Fastening) { recFastening(f); f.Component, f.Joint = c.component, c.joint })
		if got := fault.Is(err, fault.Meaning); got != c.critical {
			t.Errorf("%s, %s: refused as ordinary %v, want %v (%v)", c.component, c.joint, got, c.critical, err)
		}
	}
}

// torqued is a critical joint pulled by tom with a wrench in calibration.
func (h *recShop) torqued(change func(*shop.Fastening)) shop.Fastening {
	h.t.Helper()
	f := recMust(h, h.tech, h.PutFastening, func(f *shop.Fastening) {
		recCritical(f)
		if change != nil {
			change(f)
		}
	})
	f, err := h.DoFastening(h.t.Context(), h.tech, recAt(f), recPulled(h.wrench))
	if err != nil {
		h.t.Fatal(err)
	}
	return f
}

func recPulled(wrench shop.GaugeID) app.Pull {
	return app.Pull{Applied: recQuantity("100", "N.m"), Tool: "click wrench", WrenchID: wrench}
}

// recSeen is a check with nothing wrong.
func recSeen() app.Look {
	return app.Look{Target: recQuantity("100", "N.m"), Setting: recQuantity("100", "N.m"), Watched: true, Marked: true}
}

func TestDoFastening(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	f := h.torqued(nil)
	if f.DoneBy != h.tech.StaffID || !f.DoneAt.Equal(h.clock.Now()) || f.WrenchID != h.wrench || f.Tool != "click wrench" || f.Applied.Value != "100" {
		t.Errorf("%+v", f)
	}
	for _, c := range []struct {
		name, code, at string
		pull           app.Pull
	}{
		{"no wrench", "app.fastening_wrench_missing", "/wrench_id", recPulled("")},
		{"a wrench nobody knows", "app.fastening_wrench_unknown", "/wrench_id", recPulled(shop.GaugeID(h.src.ID()))},
		{"in degrees", "app.fastening_applied_wrong", "/applied", app.Pull{Applied: recQuantity("100", "deg"), WrenchID: h.wrench}},
	} {
		t.Log(c.name)
		_, err := h.DoFastening(t.Context(), h.tech, recAt(f), c.pull)
		recRefused(t, err, fault.Meaning, c.code, c.at)
	}
	plain := recMust(h, h.tech, h.PutFastening, recFastening)
	if _, err := h.DoFastening(t.Context(), h.tech, recAt(plain), app.Pull{Applied: recQuantity("7.4", "[ft_i].[lbf_av]"), Tool: "T-bar"}); err != nil {
		t.Errorf("an ordinary joint without a gauge: %v", err)
	}
	f, err := h.CheckFastening(t.Context(), h.second, recAt(f), recSeen())
	if err != nil || f.CheckedBy != h.second.StaffID || !f.Watched || !f.Marked || f.CheckTarget.Value != "100" {
		t.Fatalf("%+v, %v", f, err)
	}
	f, err = h.DoFastening(t.Context(), h.tech, recAt(f), recPulled(h.wrench))
	if err != nil || f.CheckedBy != "" || f.CheckedAt != nil || f.Watched || f.Marked || !f.CheckTarget.IsZero() || !f.CheckSetting.IsZero() {
		t.Errorf("pulled again, and the old check still counts: %+v, %v", f, err)
	}
}

func TestSecondPerson(t *testing.T) {
	t.Parallel()
	look := func(change func(*app.Look)) app.Look { l := recSeen(); change(&l); return l }
	self := func(l *app.Look) { l.SelfReinspection, l.Watched = true, false }
	for _, c := range []struct {
		name    string
		prepare func(h *recShop)
		wrench  func(h *recShop) shop.GaugeID
		who     func(h *recShop) auth.Principal
		after   time.Duration
		look    app.Look
		want    []string // gates
	}{
		{name: "a second person", look: recSeen()},
		{name: "in foot-pounds, as printed beside it", look: look(func(l *app.Look) {
			l.Target, l.Setting = recQuantity("74", "[ft_i].[lbf_av]"), recQuantity("74", "[ft_i].[lbf_av]")
		})},
		{name: "the one who pulled", who: func(h *recShop) auth.Principal { return h.fresh(h.tech) }, look: recSeen(), want: []string{"fastenings.checker_is_doer"}},
		{name: "another account of that person", who: func(h *recShop) auth.Principal { return h.fresh(h.alias) }, look: recSeen(), want: []string{"fastenings.checker_is_doer"}},
		{name: "signed on too long ago", after: 3 * time.Minute, who: func(h *recShop) auth.Principal {
			who := h.second
			who.AuthTime = h.clock.Now().Add(-2*time.Minute - time.Second)
			return who
		}, look: recSeen(), want: []string{"fastenings.not_signed_on"}},
		{name: "signed on just in time", after: 3 * time.Minute, who: func(h *recShop) auth.Principal {
			who := h.second
			who.AuthTime = h.clock.Now().Add(-2 * time.Minute)
			return who
		}, look: recSeen()},
		{name: "a wrench out of calibration from today", wrench: func(h *recShop) shop.GaugeID { return h.staleWrench }, look: recSeen(), want: []string{"fastenings.tool_out_of_date"}},
		{name: "a wrench without a date", wrench: func(h *recShop) shop.GaugeID { return h.gauge("") }, look: recSeen(), want: []string{"fastenings.tool_out_of_date"}},
		{name: "a wrench taken out of use", prepare: func(h *recShop) { recSet(h, h.wrench, func(g *shop.Gauge) { g.Retired = true }) }, look: recSeen(), want: []string{"fastenings.tool_out_of_date"}},
		{name: "another target", look: look(func(l *app.Look) { l.Target = recQuantity("90", "N.m") }), want: []string{"fastenings.target_differs", "fastenings.wrench_differs"}},
		{name: "the number in another unit", look: look(func(l *app.Look) { l.Target = recQuantity("100", "[in_i].[lbf_av]") }), want: []string{"fastenings.target_differs", "fastenings.wrench_differs"}},
		{name: "the wrench set wrong", look: look(func(l *app.Look) { l.Setting = recQuantity("80", "N.m") }), want: []string{"fastenings.wrench_differs"}},
		{name: "not watched, not marked", look: look(func(l *app.Look) { l.Watched, l.Marked = false, false }), want: []string{"fastenings.not_watched", "fastenings.not_marked"}},
		{name: "all alone where there are others", who: func(h *recShop) auth.Principal { return h.fresh(h.tech) }, after: time.Hour, look: look(self), want: []string{"fastenings.second_person_there"}},
		{name: "alone, half an hour later", prepare: recAlone, who: func(h *recShop) auth.Principal { return h.fresh(h.tech) }, after: 30 * time.Minute, look: look(self)},
		{name: "alone, by the other account", prepare: recAlone, who: func(h *recShop) auth.Principal { return h.fresh(h.alias) }, after: 30 * time.Minute, look: look(self)},
		{name: "alone, at once", prepare: recAlone, who: func(h *recShop) auth.Principal { return h.fresh(h.tech) }, after: 29 * time.Minute, look: look(self), want: []string{"fastenings.too_soon"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			h := openRecShop(t)
			f := recMust(h, h.tech, h.PutFastening, recCritical)
			wrench := h.wrench
			if c.wrench != nil {
				wrench = c.wrench(h)
			}
			f, err := h.DoFastening(t.Context(), h.tech, recAt(f), recPulled(wrench))
			if err != nil {
				t.Fatal(err)
			}
			if c.prepare != nil {
				c.prepare(h)
			}
			h.clock.Advance(c.after)
			who := h.fresh(h.second)
			if c.who != nil {
				who = c.who(h)
			}
			got, err := h.CheckFastening(t.Context(), who, recAt(f), c.look)
			if len(c.want) > 0 {
				recGates(t, err, c.want...)
				if recRow[shop.Fastening](h, f.ID).CheckedAt != nil {
					t.Error("refused, and yet on record")
				}
				return
			}
			if err != nil || got.CheckedBy != who.StaffID || got.SelfReinspection != c.look.SelfReinspection {
				t.Errorf("%+v, %v", got, err)
			}
		})
	}
}

// A joint pulled to an angle alone has no wrench to read and none to calibrate.
func TestSecondPersonAtAnAngle(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	f := recMust(h, h.tech, h.PutFastening, func(f *shop.Fastening) { recCritical(f); f.Target = recQuantity("90", "deg") })
	f, err := h.DoFastening(t.Context(), h.tech, recAt(f), app.Pull{Applied: recQuantity("90", "deg"), Tool: "angle gauge"})
	if err != nil {
		t.Fatal(err)
	}
	look := app.Look{Target: recQuantity("60", "deg"), Setting: recQuantity("20", "N.m"), Watched: true, Marked: true}
	_, err = h.CheckFastening(t.Context(), h.second, recAt(f), look)
	recGates(t, err, "fastenings.target_differs")
	look.Target = recQuantity("90", "N.m")
	_, err = h.CheckFastening(t.Context(), h.second, recAt(f), look)
	recGates(t, err, "fastenings.target_differs", "fastenings.wrench_differs")
	look.Target = recQuantity("1", "mm")
	_, err = h.CheckFastening(t.Context(), h.second, recAt(f), look)
	recGates(t, err, "fastenings.target_differs")
	look.Target = recQuantity("90.0", "deg")
	if f, err = h.CheckFastening(t.Context(), h.second, recAt(f), look); err != nil || f.CheckedAt == nil {
		t.Errorf("%+v, %v", f, err)
	}
}

func recAlone(h *recShop) { recSet(h, recShopID, func(s *shop.Shop) { s.OnePerson = true }) }

func TestCheckBeforeThePull(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	f := recMust(h, h.tech, h.PutFastening, recCritical)
	_, err := h.CheckFastening(t.Context(), h.second, recAt(f), recSeen())
	recGates(t, err, "fastenings.not_done")
	_, err = h.RedoFastening(t.Context(), h.tech, recAt(f), "bolt stretched")
	recRefused(t, err, fault.Conflict, "app.fastening_not_done")
	f, err = h.StrikeFastening(t.Context(), h.tech, recAt(f), "stays in the box")
	if err != nil {
		t.Fatal(err)
	}
	_, err = h.DoFastening(t.Context(), h.tech, recAt(f), recPulled(h.wrench))
	recRefused(t, err, fault.Conflict, "app.record_struck")
}

func TestChangedAfterThePull(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		change func(*shop.Fastening)
		undone bool
	}{
		{"target", func(f *shop.Fastening) { f.Target = recQuantity("110", "N.m") }, true},
		{"joint", func(f *shop.Fastening) { f.Joint = "other nut" }, true},
		{"component", func(f *shop.Fastening) { f.Component = "front axle" }, true},
		{"angle", func(f *shop.Fastening) { f.Angle = "then 90 degrees" }, true},
		{"stages", func(f *shop.Fastening) { f.Stages = "crosswise, twice" }, true},
		{"condition", func(f *shop.Fastening) { f.JointCondition = shop.JointConditionLocker }, true},
		{"the same target written otherwise", func(f *shop.Fastening) { f.Target = recQuantity("100.0", "N.m") }, false},
		{"source", func(f *shop.Fastening) { f.Source = "Example manual, 3rd edition, page 8" }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			h := openRecShop(t)
			f := h.torqued(nil)
			f, err := h.CheckFastening(t.Context(), h.second, recAt(f), recSeen())
			if err != nil {
				t.Fatal(err)
			}
			f, err = recEdit(h, h.tech, h.PutFastening, f, c.change)
			if err != nil {
				t.Fatal(err)
			}
			undone := f.DoneBy == "" && f.DoneAt == nil && f.CheckedBy == "" && f.CheckedAt == nil && f.Applied.IsZero() && f.RedoBecause != ""
			if undone != c.undone {
				t.Errorf("undone %v, want %v: %+v", undone, c.undone, f)
			}
		})
	}
}

func TestRedo(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	f := h.torqued(nil)
	f, err := h.RedoFastening(t.Context(), h.second, recAt(f), "bolt stretched")
	if err != nil || f.DoneAt != nil || f.WrenchID != "" || f.RedoBecause != "bolt stretched" {
		t.Fatalf("%+v, %v", f, err)
	}
	f, err = h.DoFastening(t.Context(), h.tech, recAt(f), recPulled(h.wrench))
	if err != nil || f.RedoBecause != "" || f.DoneAt == nil {
		t.Errorf("%+v, %v", f, err)
	}
}

func TestHoldPoint(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	point := recMust(h, h.tech, h.PutHoldPoint, func(p *shop.HoldPoint) { p.Before = "the cover goes on" })
	behind := func(f *shop.Fastening) { f.HoldPointID = point.ID }
	waiting := recMust(h, h.tech, h.PutFastening, func(f *shop.Fastening) { recCritical(f); behind(f) })
	f := h.torqued(behind)
	recMust(h, h.tech, h.PutFastening, recCritical) // of no hold point
	pass := func() error {
		var err error
		point, err = h.PassHoldPoint(t.Context(), h.tech, recAt(point))
		return err
	}
	recGates(t, pass(), "repair.fastening_not_done", "repair.fastening_not_checked")
	if _, err := h.StrikeFastening(t.Context(), h.tech, recAt(waiting), "not undone after all"); err != nil {
		t.Fatal(err)
	}
	f, err := h.CheckFastening(t.Context(), h.second, recAt(f), recSeen())
	if err != nil {
		t.Fatal(err)
	}
	passed := func(step string, want bool) {
		t.Helper()
		point = recRow[shop.HoldPoint](h, point.ID)
		if got := point.PassedAt != nil && point.PassedBy != ""; got != want {
			t.Errorf("%s: passed %v, want %v", step, got, want)
		}
	}
	mustPass := func() {
		t.Helper()
		if err := pass(); err != nil {
			t.Fatal(err)
		}
		passed("passing", true)
	}
	mustPass()
	version := point.Version
	mustPass()
	if point.Version != version {
		t.Error("passing twice writes twice")
	}

	extra := recMust(h, h.tech, h.PutFastening, func(f *shop.Fastening) { recFastening(f); behind(f) })
	passed("a joint added", false)
	mustPass()
	if _, err = recEdit(h, h.tech, h.PutFastening, extra, func(f *shop.Fastening) { f.SafetyClass = shop.SafetyClassCritical }); err != nil {
		t.Fatal(err)
	}
	passed("a joint called critical", false)
	if _, err = h.StrikeFastening(t.Context(), h.tech, recAt(extra), "not this one"); err != nil {
		t.Fatal(err)
	}
	mustPass()
	if f, err = h.RedoFastening(t.Context(), h.tech, recAt(f), "moved"); err != nil {
		t.Fatal(err)
	}
	passed("a joint to be done again", false)
	recGates(t, pass(), "repair.fastening_not_done")
	recSet(h, f.ID, func(f *shop.Fastening) { f.HoldPointID = "" })
	mustPass()
	if point, err = recEdit(h, h.tech, h.PutHoldPoint, point, func(p *shop.HoldPoint) { p.Before = "the wheel goes in" }); err != nil {
		t.Fatal(err)
	}
	passed("before something else", false)
}

// Every joint behind a hold point is looked at, however many there are.
func TestHoldPointWithManyJoints(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	point := recMust(h, h.tech, h.PutHoldPoint, func(p *shop.HoldPoint) { p.Before = "the case closes" })
	now := h.clock.Now()
	h.write(func(tx app.Tx) error {
		for i := range app.MaxRows + 1 {
			f := shop.Fastening{ID: shop.FasteningID(h.src.ID()), OfJob: point.OfJob, Origin: point.Origin}
			recCritical(&f)
			f.HoldPointID = point.ID
			if i < app.MaxRows {
				f.DoneBy, f.DoneAt, f.CheckedBy, f.CheckedAt = h.tech.StaffID, &now, h.second.StaffID, &now
			}
			if err := tx.Insert(&f); err != nil {
				return err
			}
		}
		return nil
	})
	_, err := h.PassHoldPoint(t.Context(), h.tech, recAt(point))
	recGates(t, err, "repair.fastening_not_done")
}

func TestRoadTests(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	finding := recMust(h, h.tech, h.PutFinding, recFinding)
	ride := func(r *shop.RoadTest) { r.Kind = shop.RunKindRide }
	for _, c := range []struct {
		name, code, at string
		change         func(*shop.RoadTest)
	}{
		{"checks alone", "", "", func(r *shop.RoadTest) { r.Brakes, r.CheckedAt = shop.PreRideOk, h.ago(0) }},
		{"a ride", "", "", func(r *shop.RoadTest) { r.RiderID, r.Outcome = h.tech.StaffID, shop.RideOutcomeOk }},
		{"a fault", "", "", func(r *shop.RoadTest) {
			r.RiderID, r.Outcome, r.FaultFindingID = h.tech.StaffID, shop.RideOutcomeFault, finding.ID
		}},
		{"a stand run", "", "", func(r *shop.RoadTest) {
			r.Kind, r.InsteadBecause, r.RiderID = shop.RunKindStandRun, "ice", h.second.StaffID
		}},
		{"there and back", "", "", func(r *shop.RoadTest) {
			r.OdometerOut, r.OdometerBack = recQuantity("12040", "km"), recQuantity("7500", "[mi_i]")
		}},
		{"backwards", "app.road_test_odometer_backwards", "/odometer_back", func(r *shop.RoadTest) {
			r.OdometerOut, r.OdometerBack = recQuantity("12040", "km"), recQuantity("12030", "km")
		}},
		{"a stand run for no reason", "app.road_test_reason_missing", "/instead_because", func(r *shop.RoadTest) { r.Kind = shop.RunKindRollingRoad }},
		{"checked ahead", "app.road_test_ahead", "/checked_at", func(r *shop.RoadTest) { r.CheckedAt = h.ago(-6 * time.Minute) }},
		{"ridden by nobody", "app.road_test_rider_missing", "/rider_id", func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeOk }},
		{"ridden by someone who may not", "app.road_test_rider_not_allowed", "/rider_id", func(r *shop.RoadTest) { r.RiderID = h.second.StaffID }},
		{"ridden by a stranger", "app.road_test_rider_unknown", "/rider_id", func(r *shop.RoadTest) { r.RiderID = shop.StaffID(h.src.ID()) }},
		{"a fault nobody wrote down", "app.reference_unknown", "/fault_finding_id", func(r *shop.RoadTest) { r.FaultFindingID = shop.FindingID(h.src.ID()) }},
	} {
		_, err := recNew(h, h.tech, h.PutRoadTest, func(r *shop.RoadTest) { ride(r); c.change(r) })
		if c.code == "" && err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if c.code != "" {
			t.Log(c.name)
			recRefused(t, err, fault.Meaning, c.code, c.at)
		}
	}
	row := recMust(h, h.tech, h.PutRoadTest, func(r *shop.RoadTest) { ride(r); r.RiderID = h.tech.StaffID })
	recSet(h, h.tech.StaffID, func(s *shop.Staff) { s.Rides = false })
	row, err := recEdit(h, h.tech, h.PutRoadTest, row, func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeOk })
	if err != nil {
		t.Errorf("the ride was made when they might: %v", err)
	}
	if row, err = h.StrikeRoadTest(t.Context(), h.tech, recAt(row), "another machine"); err != nil || !row.IsStruck() {
		t.Error(err)
	}
}

func TestDebrisChecks(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	look := func(amount shop.DebrisAmount, coarse bool) func(*shop.DebrisCheck) {
		return func(d *shop.DebrisCheck) {
			d.Moment, d.Sampled, d.Amount, d.CoarseNew = shop.DebrisMomentRide, shop.DebrisSamplePlug, amount, coarse
		}
	}
	_, err := recNew(h, h.tech, h.PutDebrisCheck, look(shop.DebrisAmountNone, true))
	recRefused(t, err, fault.Meaning, "app.debris_check_contradicts", "/amount")
	row := recMust(h, h.tech, h.PutDebrisCheck, look(shop.DebrisAmountChunks, true))
	recMust(h, h.tech, h.PutDebrisCheck, look(shop.DebrisAmountNone, false))
	row, err = h.StrikeDebrisCheck(t.Context(), h.tech, recAt(row), "wrong plug")
	if diff := cmp.Diff(true, row.IsStruck()); diff != "" || err != nil {
		t.Error(diff, err)
	}
}
