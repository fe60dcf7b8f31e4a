package flow_test

import (
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/flow"
)

// The reference is the path of a job written down a second time, from its
// definition and without the table: one big yes or no per stage entered.

func allowed(from flow.Stage, move flow.Move, f flow.Facts) (known, ok bool) {
	key := string(from) + " " + string(move)
	forward := func(ok bool) (bool, bool) { return true, ok && !f.Hold.Active }
	intake := f.Intake.Customer && f.Intake.Machine && f.Intake.Given && len(f.Complaints) > 0 &&
		(f.Intake.Odometer || f.Intake.OdometerNotReadable != "")
	switch key {
	case "intake start_diagnosis":
		return forward(intake && refDiagnosis(f))
	case "intake open_up":
		return forward(intake && refTeardown(f))
	case "intake ask_customer":
		return forward(intake && refAsk(f))
	case "diagnosis open_up", "authorization more_to_open":
		return forward(refTeardown(f))
	case "diagnosis ask_customer", "teardown ask_customer":
		return forward(refAsk(f))
	case "authorization start_repair":
		return forward(refRepair(f))
	case "authorization leave_not_run", "repair leave_not_run", "road_test leave_not_run":
		return forward(f.NotRun.Stated && f.NotRun.Reason != "" && slices.Contains(flow.MachineStates(), f.NotRun.State))
	case "repair to_road_test":
		return forward(refRun(f))
	case "road_test to_release":
		return forward(refRelease(f))
	case "release close":
		return forward(refClose(f))
	case "teardown back_to_diagnosis", "authorization back_to_diagnosis", "road_test back_to_diagnosis", "release back_to_diagnosis":
		return true, refDiagnosis(f)
	case "road_test back_to_teardown", "release back_to_teardown":
		return true, refTeardown(f)
	case "road_test back_to_repair", "release back_to_repair":
		return true, refRepair(f)
	case "release back_to_road_test":
		return true, refRun(f)
	}
	if move == flow.Withdraw && from != flow.Release && slices.Contains(flow.Stages(), from) && !from.Final() {
		return true, refWithdraw(f)
	}
	return false, false
}

func refDiagnosis(f flow.Facts) bool { return f.Diagnosis.Agreed || f.Diagnosis.Free }

func refTeardown(f flow.Facts) bool {
	return f.Teardown.Consent && len(f.Teardown.MissingTerms) == 0 && (f.Teardown.AsFound || f.Teardown.AsFoundWaive != "")
}

func refAsk(f flow.Facts) bool {
	for _, c := range f.Complaints {
		if c.AnswerStruck || !slices.Contains(flow.Answers(), c.Answer) {
			return false
		}
	}
	for _, r := range f.Reached {
		if !r.LookedAt && r.Disclosed == "" {
			return false
		}
	}
	cause := false
	for _, d := range f.Findings {
		if d.Struck {
			continue
		}
		serious := d.Graded && d.Grade >= 3
		cause = cause || serious
		if serious && !d.Photo && !d.Reading && d.Reason == "" ||
			d.Broken && !d.LaidOut || d.PieceMissing && !d.OpenLook ||
			d.Measured && !d.Indicative && !(d.GaugeInDate && d.LimitSourced) {
			return false
		}
	}
	if cause && !f.FirstCause.Marked && f.FirstCause.Undetermined == "" {
		return false
	}
	onTag := slices.ContainsFunc(f.Tags, func(t flow.Tag) bool { return !t.Struck })
	return !f.Teardown.Opened || f.Teardown.NothingCameOff || onTag
}

func refRepair(f flow.Facts) bool {
	money := !f.Deposit.Asked || f.Deposit.Paid
	return money && (f.DropOff.Counts && f.DropOff.Covers || f.Consent.Given && f.Consent.Scope && f.Consent.Bound)
}

// refSound is what must hold whenever a machine is run or leaves.
func refSound(f flow.Facts) bool {
	for _, j := range f.Fastenings {
		if !j.Critical || j.Struck {
			continue
		}
		second := j.DoneBy != "" && j.CheckedBy != "" && (j.DoneBy != j.CheckedBy || f.OnePersonShop && j.SelfReinspection)
		if !j.Done || !j.Checked || !second {
			return false
		}
	}
	for _, t := range f.Tags {
		if !t.Struck && !t.Accounted && !t.OffOnPurpose {
			return false
		}
	}
	for _, l := range f.Lines {
		if l.State != flow.LineStruck && (l.Worked || l.State == flow.LineDone) && !l.Consented {
			return false
		}
	}
	return true
}

// refSafe reports that no dangerous finding is without an answer.
func refSafe(f flow.Facts) bool {
	for _, d := range f.Findings {
		if d.Struck || !d.Dangerous || d.Settled == flow.SettledRepaired || d.Settled == flow.SettledTrailer {
			continue
		}
		if d.Settled != flow.SettledOwnerInsists || d.Warning != (flow.Warning{Words: true, Time: true, Witness: true}) {
			return false
		}
	}
	return true
}

func refHoldPoints(f flow.Facts) bool {
	return !slices.ContainsFunc(f.HoldPoints, func(h flow.HoldPoint) bool { return !h.Passed })
}

func refRun(f flow.Facts) bool {
	s, r := f.FirstStart, f.RoadTest
	started := (!s.EngineOpened || s.TurnedByHand && (s.MarksReread || s.NoMarks != "") && s.OilIn && s.NoLeaks && s.ToolsOut) &&
		(!s.OilOut || s.OilIn && s.ToolsOut) && (!s.CircuitOpen || s.NoLeaks && s.ToolsOut) &&
		(!s.PressureInQuestion || s.Pressure || s.PressureNotPossible != "")
	for _, l := range f.Lines {
		if l.State == flow.LineAgreed && !l.AfterRide {
			return false
		}
	}
	checks := map[flow.PreRideCheck]bool{}
	for _, p := range f.PreRide {
		none := p.NotFitted && (p.Check == flow.CheckChain || p.Check == flow.CheckLights)
		checks[p.Check] = none || p.Passed && p.Fresh
	}
	for _, c := range flow.PreRideChecks() {
		if !checks[c] {
			return false
		}
	}
	how := (r.Kind == flow.RunStand || r.Kind == flow.RunRollingRoad) && r.Reason != ""
	if r.Kind == flow.RunRide {
		how = r.RiderLicensed && r.RiderInsured && r.LeaveToRide && r.DistanceOut
		for _, d := range f.Findings {
			how = how && (d.Struck || !d.Dangerous || d.Settled == flow.SettledRepaired)
		}
	}
	return started && how && refHoldPoints(f) && refSound(f)
}

func refRelease(f flow.Facts) bool {
	r := f.RoadTest
	ran := r.Outcome == flow.OutcomeOK || r.Outcome == flow.OutcomeFault && r.FaultDisclosed
	for _, c := range f.Complaints {
		idle := c.Answer == flow.AnswerRequest || c.Answer == flow.AnswerNormal || c.Answer == flow.AnswerNotWished
		if idle && !c.AnswerStruck {
			continue
		}
		if !slices.Contains(flow.Agains(), c.Again) || c.Again == flow.AgainNotTried && c.NotTried == "" {
			return false
		}
	}
	debris := !f.Debris.Asked || f.Debris.Falling || f.Debris.NextBooked
	return ran && debris && refHoldPoints(f) && refSafe(f) && refSound(f)
}

func refClose(f flow.Facts) bool {
	b, h, o := f.Bill, f.HandOver, f.OldParts
	money := b.Present && b.WithinConsent && (b.Paid || b.OnTerms) || !b.Present && b.NoBill != ""
	papers := h.Advice && (!h.RecheckNeeded || h.RecheckDated) && h.To != "" &&
		(!o.Replaced || o.Settled) && (!o.ClaimPossible || o.KeptUntil)
	ran := slices.Contains(flow.Outcomes(), f.RoadTest.Outcome) && !f.NotRun.Stated
	carried := h.Transport == flow.TransportTrailer
	if !ran && !(h.NotRunTold && carried) || !f.NotRun.Stated && !refHoldPoints(f) {
		return false
	}
	for _, d := range f.Findings {
		if !d.Struck && d.Dangerous && d.Settled == flow.SettledTrailer && !carried {
			return false
		}
	}
	for _, j := range f.Fastenings {
		if j.Critical && !j.Struck && j.SelfReinspection && j.CheckedBy == j.DoneBy && !h.SelfCheckTold {
			return false
		}
	}
	if slices.ContainsFunc(f.Lines, func(l flow.Line) bool { return l.State == flow.LineAgreed }) {
		return false
	}
	return money && papers && len(f.BenchTimes) == 0 && (h.StillOpenWritten || !refStillOpen(f)) && refSafe(f) && refSound(f)
}

func refStillOpen(f flow.Facts) bool {
	open := f.NotRun.Stated || f.RoadTest.Outcome != flow.OutcomeOK
	for _, c := range f.Complaints {
		done := c.Again == flow.AgainGone && c.Answer != flow.AnswerNotWished && slices.Contains(flow.Answers(), c.Answer)
		wish := !c.AnswerStruck && (c.Answer == flow.AnswerRequest || c.Answer == flow.AnswerNormal)
		open = open || !done && !wish
	}
	for _, d := range f.Findings {
		open = open || !d.Struck && d.Settled != flow.SettledRepaired && (d.Dangerous || d.PieceMissing || d.Graded && d.Grade >= 3)
	}
	for _, r := range f.Reached {
		open = open || !r.LookedAt
	}
	for _, l := range f.Lines {
		open = open || l.State == flow.LineProposed
	}
	return open
}

func refWithdraw(f flow.Facts) bool {
	told := !f.Teardown.Opened || f.HandOver.NotRunTold || slices.Contains(flow.Outcomes(), f.RoadTest.Outcome) && !f.NotRun.Stated
	return f.Withdrawal.Reason != "" && slices.Contains(flow.MachineStates(), f.Withdrawal.State) &&
		told && len(f.BenchTimes) == 0 && refSafe(f) && refSound(f)
}

// words lists what a typed word may be: its list, nothing, and a stranger.
func words(t reflect.Type) []string {
	list := map[string][]string{
		"Answer": strs(flow.Answers()), "Again": strs(flow.Agains()), "Settlement": strs(flow.Settlements()),
		"HoldKind": strs(flow.HoldKinds()), "PreRideCheck": strs(flow.PreRideChecks()), "RunKind": strs(flow.RunKinds()),
		"Outcome": strs(flow.Outcomes()), "MachineState": strs(flow.MachineStates()), "Transport": strs(flow.Transports()),
		"LineState": strs(flow.LineStates()), "string": {"ann", "bo"},
	}[t.Name()]
	return append(list, "", "strange")
}

func strs[T ~string](list []T) []string {
	var out []string
	for _, one := range list {
		out = append(out, string(one))
	}
	return out
}

// spoilOne changes one plain value of the facts, drawn at random.
func spoilOne(t *rapid.T, f *flow.Facts) {
	l := rapid.SampledFrom(leaves(f)).Draw(t, "leaf")
	switch l.v.Kind() {
	case reflect.Bool:
		l.v.SetBool(!l.v.Bool())
	case reflect.Int:
		l.v.SetInt(int64(rapid.IntRange(0, 4).Draw(t, "grade")))
	default:
		l.v.SetString(rapid.SampledFrom(words(l.v.Type())).Draw(t, l.path))
	}
}

func drawFacts(t *rapid.T) flow.Facts {
	f := rapid.SampledFrom(starts()).Draw(t, "start")()
	if rapid.Bool().Draw(t, "two") {
		f.Findings = append(f.Findings, flow.Finding{Row: row("f2")})
		f.Fastenings = append(f.Fastenings, flow.Fastening{Row: row("j2")})
		f.Lines = append(f.Lines, flow.Line{Row: row("l2"), State: flow.LineStruck})
	}
	for range rapid.IntRange(0, 8).Draw(t, "changes") {
		spoilOne(t, &f)
	}
	return f
}

func TestAgainstReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, againstReference)
}

func againstReference(t *rapid.T) {
	f := drawFacts(t)
	for _, s := range append(flow.Stages(), "limbo") {
		for _, m := range append(flow.Moves(), "teleport") {
			to, unmet, err := flow.Next(s, m, f)
			known, ok := allowed(s, m, f)
			if known != (err == nil) {
				t.Fatalf("%s x %s: known = %v, error %v", s, m, known, err)
			}
			if known && ok != (len(unmet) == 0) {
				t.Fatalf("%s x %s: reference says %v, gates %v", s, m, ok, codes(unmet))
			}
			if want, _ := flow.Leads(s, m); ok && to != want || !ok && to != s {
				t.Fatalf("%s x %s leads to %s", s, m, to)
			}
		}
	}
}

func TestPossibleAgreesWithNext(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := drawFacts(t)
		s := rapid.SampledFrom(flow.Stages()).Draw(t, "stage")
		before := clone(f)
		for _, o := range flow.Possible(s, f) {
			to, unmet, err := flow.Next(s, o.Move, f)
			if err != nil || !reflect.DeepEqual(unmet, o.Unmet) || len(unmet) == 0 && to != o.To {
				t.Fatalf("%s x %s: Next %s %v %v, Possible %s %v", s, o.Move, to, unmet, err, o.To, o.Unmet)
			}
		}
		if !reflect.DeepEqual(before, f) {
			t.Fatal("the facts were changed")
		}
	})
}

func FuzzNext(f *testing.F) {
	f.Add([]byte{0})
	f.Add([]byte("benchtag flow seeds the draw from these bytes, more than a handful of them"))
	f.Fuzz(rapid.MakeFuzz(againstReference))
}
