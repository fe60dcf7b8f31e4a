package flow

import "strings"

// The gates around the run: first start, road test, and the invariants that
// hold whenever a machine leaves.

var firstStart = []gate{
	{
		code: "first_start.not_turned_by_hand", where: atFirstStart, who: WhoBench, safety: true,
		text: "Turn the engine two full turns by hand and feel that nothing touches. If the engine itself was not opened, say so on the job.",
		find: job(func(f *Facts) bool { return f.FirstStart.EngineOpened && !f.FirstStart.TurnedByHand }),
	},
	{
		code: "first_start.marks_not_reread", where: atFirstStart, who: WhoBench,
		text: "Read the timing marks again after turning, or say why there are none.",
		find: job(func(f *Facts) bool {
			return f.FirstStart.EngineOpened && !f.FirstStart.MarksReread && f.FirstStart.NoMarks == ""
		}),
	},
	{
		code: "first_start.no_oil", where: atFirstStart, who: WhoBench, safety: true,
		text: "Fill the oil and prime the pump as the maker's manual says.",
		find: job(func(f *Facts) bool {
			return (f.FirstStart.EngineOpened || f.FirstStart.OilOut) && !f.FirstStart.OilIn
		}),
	},
	{
		code: "first_start.leaks_not_checked", where: atFirstStart, who: WhoBench, safety: true,
		text: "Check that no fuel and no coolant leaks.",
		find: job(func(f *Facts) bool {
			return (f.FirstStart.EngineOpened || f.FirstStart.CircuitOpen) && !f.FirstStart.NoLeaks
		}),
	},
	{
		code: "first_start.tools_not_out", where: atFirstStart, who: WhoBench, safety: true,
		text: "Count tools and rags out of the machine.",
		find: job(func(f *Facts) bool { return f.FirstStart.needed() && !f.FirstStart.ToolsOut }),
	},
}

// pressure can only be read once the engine turns, so it stands before the
// road test and not before the first start.
var pressure = gate{
	code: "first_start.pressure_missing", where: atFirstStart, who: WhoBench,
	text: "Oil pressure was in question: read it by gauge, or say why that is not possible.",
	find: job(func(f *Facts) bool {
		s := f.FirstStart
		return s.PressureInQuestion && !s.Pressure && s.PressureNotPossible == ""
	}),
}

var holdPointsPassed = gate{
	code: "repair.hold_point_open", where: atHoldPoints, who: WhoBench, safety: true, noun: "this hold point",
	text: "Pass the hold point ({name}) first: its critical fastenings done and checked.",
	find: rows(holdPoints, func(_ *Facts, h HoldPoint) bool { return !h.Passed }),
}

var intoRoadTest = []gate{
	{
		code: "road_test.line_open", where: atLines, who: WhoBench, noun: "this line",
		text: "Do the agreed work ({name}), strike it with a reason, or set it to after the ride.",
		find: rows(lines, func(_ *Facts, l Line) bool { return l.due() && !l.AfterRide }),
	},
	holdPointsPassed,
	pressure,
	{
		code: "road_test.dangerous_finding_open", where: atFindings, who: WhoBench, safety: true, noun: "a finding",
		text: "Do not ride it with {name} unrepaired. Repair it, or use a stand run and say why.",
		find: rows(findings, func(f *Facts, d Finding) bool {
			return !onStand(f) && !d.Struck && d.Dangerous && d.Settled != SettledRepaired
		}),
	},
	{
		code: "road_test.check_not_passed", where: atRoadTest, who: WhoBench, safety: true, noun: "this check",
		text: "Check the {name} now, after the last work on the machine and just before it is run.",
		find: checksOpen,
	},
	{
		code: "road_test.kind_missing", where: atRoadTest, who: WhoBench,
		text: "Say how it is run: a ride, a stand run or the rolling road.",
		find: job(func(f *Facts) bool { return !known(f.RoadTest.Kind, RunKinds()) }),
	},
	{
		code: "road_test.reason_missing", where: atRoadTest, who: WhoBench,
		text: "Say why a run on the stand replaces the ride.",
		find: job(func(f *Facts) bool {
			return onStand(f) && f.RoadTest.Reason == ""
		}),
	},
	{
		code: "road_test.rider_not_licensed", where: atRoadTest, who: WhoBench, safety: true,
		text: "The rider must hold a licence for this machine. Name one who does.",
		find: ride(func(r RoadTestFacts) bool { return r.RiderLicensed }),
	},
	{
		code: "road_test.rider_not_insured", where: atRoadTest, who: WhoCounter, safety: true,
		text: "The ride must be insured. Settle that first.",
		find: ride(func(r RoadTestFacts) bool { return r.RiderInsured }),
	},
	{
		code: "road_test.leave_missing", where: atIntakeFacts, who: WhoCounter,
		text: "Ask the customer for leave to ride it.",
		find: ride(func(r RoadTestFacts) bool { return r.LeaveToRide }),
	},
	{
		code: "road_test.distance_missing", where: atRoadTest, who: WhoBench,
		text: "Write down the odometer on the way out.",
		find: ride(func(r RoadTestFacts) bool { return r.DistanceOut }),
	},
}

// onStand reports that the machine is run without leaving the shop. Until
// somebody says so, it is a ride.
func onStand(f *Facts) bool {
	return f.RoadTest.Kind == RunStand || f.RoadTest.Kind == RunRollingRoad
}

// ride is a finder for what only a ride needs.
func ride(has func(RoadTestFacts) bool) func(*Facts) []Row {
	return job(func(f *Facts) bool { return !onStand(f) && !has(f.RoadTest) })
}

// checksOpen gives the pre-ride checks that do not stand, one on record or
// not. Of two records of one check the last counts.
func checksOpen(f *Facts) []Row {
	var out []Row
	for _, c := range PreRideChecks() {
		good := false
		for _, p := range f.PreRide {
			if p.Check == c {
				good = p.good()
			}
		}
		if !good {
			out = append(out, Row{ID: string(c), Name: plain(string(c))})
		}
	}
	return out
}

// invariants hold whenever a machine is run or leaves, whichever way.
var invariants = []gate{
	{
		code: "repair.fastening_not_done", where: atFastenings, who: WhoBench, safety: true, noun: "this fastening",
		text: "Tighten {name} as the maker's manual says, or strike it with a reason.",
		find: rows(fastenings, func(_ *Facts, t Fastening) bool { return t.live() && !t.Done }),
	},
	{
		code: "repair.fastening_not_checked", where: atFastenings, who: WhoBench, safety: true, noun: "this fastening",
		text: "A second person must check {name}. What nobody watched is done again.",
		find: rows(fastenings, func(f *Facts, t Fastening) bool { return t.live() && t.Done && !t.checked(f.OnePersonShop) }),
	},
	{
		code: "tags.not_accounted", where: atTags, who: WhoBench, safety: true, noun: "this tag",
		text: "Say what became of {name}: back on, replaced, handed over, or off on purpose.",
		find: rows(tags, func(_ *Facts, t Tag) bool { return t.open() }),
	},
	{
		code: "lines.worked_not_agreed", where: atLines, who: WhoCounter, noun: "this line",
		text: "Work was done ({name}) that nobody agreed to. Get the consent, or strike the line with a reason.",
		find: rows(lines, func(_ *Facts, l Line) bool {
			return l.State != LineStruck && (l.Worked || l.State == LineDone) && !l.Consented
		}),
	},
}

// dangerOpen is the invariant on findings that are dangerous to ride. It
// stands where the machine leaves, not where the shop runs it.
var dangerOpen = gate{
	code: "release.dangerous_finding_open", where: atFindings, who: WhoCounter, safety: true, noun: "this finding",
	text: "{name} is dangerous to ride. Repair it, let it leave on a trailer, or record the exact warning, the time and a witness if the owner insists.",
	find: rows(findings, func(_ *Facts, d Finding) bool { return !d.Struck && d.Dangerous && !d.settled() }),
}

// plain writes a snake_case word as speech.
func plain(word string) string { return strings.ReplaceAll(word, "_", " ") }
