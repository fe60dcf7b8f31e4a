package app

import (
	"slices"
	"strings"
	"time"

	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

func (d *dossier) fasteningsOf(j shop.Job) []flow.Fastening {
	var out []flow.Fastening
	for _, f := range d.fastenings[j.ID] {
		out = append(out, flow.Fastening{
			Row:      flow.Row{ID: string(f.ID), Name: strings.TrimSpace(f.Component + " " + f.Joint)},
			Critical: f.SafetyClass == shop.SafetyClassCritical, HoldPoint: string(f.HoldPointID), Struck: f.IsStruck(),
			// What must be done again is not done.
			Done: f.DoneAt != nil && f.RedoBecause == "", Checked: f.CheckedAt != nil,
			DoneBy: d.person[f.DoneBy], CheckedBy: d.person[f.CheckedBy], SelfReinspection: f.SelfReinspection,
		})
	}
	return out
}

// holdPointsOf gives the hold points that stand. One counts as passed as long
// as its joints are as they must be: a joint undone since opens it again.
func (d *dossier) holdPointsOf(j shop.Job, f flow.Facts) []flow.HoldPoint {
	rows := unstruck(d.holdPoints[j.ID])
	out := make([]flow.HoldPoint, 0, len(rows))
	for _, h := range rows {
		out = append(out, flow.HoldPoint{Row: flow.Row{ID: string(h.ID), Name: h.Before}})
	}
	f.HoldPoints = out
	for i, h := range rows {
		out[i].Passed = h.PassedAt != nil && len(flow.PassHoldPoint(f, string(h.ID))) == 0
	}
	return out
}

func (d *dossier) firstStartOf(j shop.Job) flow.FirstStartFacts {
	f := flow.FirstStartFacts{EngineOpened: j.EngineOpened, OilOut: j.OilOut, CircuitOpen: j.CircuitOpen, PressureInQuestion: j.PressureInQuestion}
	for _, s := range d.firstStarts[j.ID] {
		f.TurnedByHand, f.MarksReread, f.NoMarks = s.TurnedByHand, s.MarksReread, s.NoMarksBecause
		f.OilIn, f.NoLeaks, f.ToolsOut = s.OilInAndPrimed, s.NoLeaks, s.ToolsOut
		f.Pressure, f.PressureNotPossible = !s.Pressure.IsZero(), s.PressureNotPossible
	}
	return f
}

// run gives the last road test that stands, by the order of arrival.
func (d *dossier) run(j shop.Job) (shop.RoadTest, bool) {
	rows := unstruck(d.roadTests[j.ID])
	if len(rows) == 0 {
		return shop.RoadTest{}, false
	}
	return slices.MaxFunc(rows, func(a, b shop.RoadTest) int { return byArrival(a.Origin, b.Origin, a.Key(), b.Key()) }), true
}

// byArrival orders records by when the server first had them, then by id.
func byArrival(a, b shop.Origin, aID, bID string) int {
	if c := a.ReceivedAt.Compare(b.ReceivedAt); c != 0 {
		return c
	}
	return strings.Compare(aID, bID)
}

func (d *dossier) preRideOf(j shop.Job) []flow.PreRide {
	r, ok := d.run(j)
	if !ok {
		return nil
	}
	times := flow.CheckTimes{Now: d.now}
	if r.CheckedAt != nil {
		times.Passed = *r.CheckedAt
		times.LastWork = d.lastWork(j.WorkOrderID, *r.CheckedAt)
	}
	fresh := flow.Fresh(times)
	var out []flow.PreRide
	for _, one := range []struct {
		check flow.PreRideCheck
		is    shop.PreRide
	}{
		{flow.CheckBrakes, r.Brakes}, {flow.CheckWheels, r.Wheels}, {flow.CheckSteering, r.Steering}, {flow.CheckThrottle, r.Throttle},
		{flow.CheckChain, r.Chain}, {flow.CheckLeaks, r.Leaks}, {flow.CheckLights, r.Lights},
	} {
		passed, notFitted := preRideResult(one.is)
		out = append(out, flow.PreRide{Check: one.check, Passed: passed, Fresh: fresh, NotFitted: notFitted})
	}
	return out
}

// checksEnd is how long after the pre-ride checks a bench clock may be
// stopped and still count as stopped with them: the checks are bench work
// themselves. Common practice, no source.
const checksEnd = 10 * time.Minute

// lastWork gives the last time anybody worked on the machine, on whichever
// job of the visit: a line done, a joint tightened or looked at, a bench
// clock stopped. What was struck since was work all the same.
func (d *dossier) lastWork(order shop.WorkOrderID, checked time.Time) time.Time {
	var last time.Time
	count := func(at *time.Time) {
		if at != nil && at.After(last) {
			last = *at
		}
	}
	for _, id := range d.siblings[order] {
		for _, l := range d.lines[id] {
			count(l.DoneAt)
		}
		for _, f := range d.fastenings[id] {
			count(f.DoneAt)
			count(f.CheckedAt)
		}
		for _, b := range unstruck(d.benchTimes[id]) {
			count(workEnd(b, checked))
		}
	}
	return last
}

// workEnd gives when a stretch of bench time ended as work, or nil: one that
// spans the checks and stops with them ended at the checks.
func workEnd(b shop.BenchTime, checked time.Time) *time.Time {
	if b.EndedAt == nil {
		return nil
	}
	if !b.StartedAt.After(checked) && b.EndedAt.After(checked) && b.EndedAt.Sub(checked) <= checksEnd {
		return &checked
	}
	return b.EndedAt
}

func (d *dossier) roadTestOf(j shop.Job) flow.RoadTestFacts {
	f := flow.RoadTestFacts{LeaveToRide: d.intake[j.WorkOrderID].LeaveToRide == shop.YesNoYes}
	r, ok := d.run(j)
	if !ok {
		return f
	}
	f.Kind, f.Reason, f.DistanceOut = runKindOf(r.Kind), r.InsteadBecause, !r.OdometerOut.IsZero()
	if rider, known := d.staff[r.RiderID]; known {
		f.RiderInsured = rider.Rides && !rider.Disabled
		f.RiderLicensed = f.RiderInsured && !(rider.LicenceUntil != "" && rider.LicenceUntil < shop.DateOf(d.now, d.zone))
	}
	if outcomeCounts(j, r) {
		f.Outcome = outcomeOf(r.Outcome)
	}
	for _, fault := range unstruck(d.findings[j.ID]) {
		f.FaultDisclosed = f.FaultDisclosed || r.FaultFindingID != "" && fault.ID == r.FaultFindingID
	}
	return f
}

// outcomeCounts reports whether the outcome on record is that of the run the
// job is in or has come from. Once it went back into the work, the run
// before says nothing any more of the machine as it is now.
func outcomeCounts(j shop.Job, r shop.RoadTest) bool {
	switch j.Stage {
	case shop.StageRoadTest:
		return !r.UpdatedAt.Before(j.StageSince)
	case shop.StageRelease, shop.StageClosed, shop.StageWithdrawn:
		return true
	}
	return false
}

// debrisOf reads the series of checks after the work: it is falling when the
// last one says so or found nothing, holds no more than the one before, and
// nothing coarse is new in it.
func (d *dossier) debrisOf(j shop.Job) flow.DebrisFacts {
	f := flow.DebrisFacts{Asked: j.DebrisInQuestion}
	rows := unstruck(d.debrisChecks[j.ID])
	if len(rows) == 0 {
		return f
	}
	slices.SortFunc(rows, func(a, b shop.DebrisCheck) int { return byArrival(a.Origin, b.Origin, a.Key(), b.Key()) })
	last := rows[len(rows)-1]
	f.Falling = (last.Falling || last.Amount == shop.DebrisAmountNone) && !last.CoarseNew && last.Amount != shop.DebrisAmountChunks
	if len(rows) > 1 && amountRank(last.Amount) > amountRank(rows[len(rows)-2].Amount) {
		f.Falling = false
	}
	f.NextBooked = last.NextDistance != "" || last.NextOn >= shop.DateOf(d.now, d.zone)
	return f
}

func amountRank(a shop.DebrisAmount) int { return slices.Index(shop.DebrisAmountValues(), a) }

// notRunOf reads what the job says of leaving without having been run.
func notRunOf(j shop.Job) flow.NotRunFacts {
	return flow.NotRunFacts{
		Stated: j.NotRun || j.NotRunBecause != "" || j.NotRunState != shop.NotRunStateUnset,
		Reason: j.NotRunBecause, State: notRunStateOf(j.NotRunState),
	}
}
