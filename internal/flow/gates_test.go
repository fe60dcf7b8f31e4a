package flow_test

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/fault"
	"benchtag/internal/flow"
)

func checkConflict(t *testing.T, err error, code string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || f.Kind != fault.Conflict || f.Code != code || f.Message == "" {
		t.Errorf("error = %v, want a Conflict %s", err, code)
	}
}

// oneGate is a way to raise exactly one gate on an otherwise free move, and
// ways to meet it again.
type oneGate struct {
	code    string
	from    flow.Stage
	move    flow.Move
	subject string
	spoil   func(*flow.Facts)
	meet    []func(*flow.Facts)
}

type fix = []func(*flow.Facts)

func gateCases() []oneGate {
	return slices.Concat(casesBefore(), casesRide(), casesAfter())
}

func casesBefore() []oneGate {
	return []oneGate{
		{"hold.active", flow.Authorization, flow.StartRepair, "",
			func(f *flow.Facts) { f.Hold.Active = true },
			fix{func(f *flow.Facts) { f.Hold = flow.Hold{} }}},
		{"intake.customer_missing", flow.Intake, flow.StartDiagnosis, "",
			func(f *flow.Facts) { f.Intake.Customer = false },
			fix{func(f *flow.Facts) { f.Intake.Customer = true }}},
		{"intake.machine_missing", flow.Intake, flow.OpenUp, "",
			func(f *flow.Facts) { f.Intake.Machine = false },
			fix{func(f *flow.Facts) { f.Intake.Machine = true }}},
		{"intake.odometer_missing", flow.Intake, flow.AskCustomer, "",
			func(f *flow.Facts) { f.Intake.Odometer = false },
			fix{
				func(f *flow.Facts) { f.Intake.Odometer = true },
				func(f *flow.Facts) { f.Intake.OdometerNotReadable = "clock is dead" },
			}},
		{"intake.complaint_missing", flow.Intake, flow.StartDiagnosis, "",
			func(f *flow.Facts) { f.Complaints = nil },
			fix{func(f *flow.Facts) { f.Complaints = []flow.Complaint{{}} }}},
		{"intake.facts_missing", flow.Intake, flow.StartDiagnosis, "",
			func(f *flow.Facts) { f.Intake.Given = false },
			fix{func(f *flow.Facts) { f.Intake.Given = true }}},
		{"diagnosis.not_agreed", flow.Intake, flow.StartDiagnosis, "",
			func(f *flow.Facts) { f.Diagnosis.Agreed = false },
			fix{
				func(f *flow.Facts) { f.Diagnosis.Agreed = true },
				func(f *flow.Facts) { f.Diagnosis.Free = true },
			}},
		{"teardown.consent_missing", flow.Diagnosis, flow.OpenUp, "",
			func(f *flow.Facts) { f.Teardown.Consent = false },
			fix{func(f *flow.Facts) { f.Teardown.Consent = true }}},
		{"teardown.term_missing", flow.Diagnosis, flow.OpenUp, "cost_of_reassembly",
			func(f *flow.Facts) { f.Teardown.MissingTerms = []string{"cost_of_reassembly"} },
			fix{func(f *flow.Facts) { f.Teardown.MissingTerms = nil }}},
		{"teardown.as_found_missing", flow.Authorization, flow.MoreToOpen, "",
			func(f *flow.Facts) { f.Teardown.AsFound = false },
			fix{
				func(f *flow.Facts) { f.Teardown.AsFound = true },
				func(f *flow.Facts) { f.Teardown.AsFoundWaive = "engine seized" },
			}},
		{"authorization.complaint_unanswered", flow.Teardown, flow.AskCustomer, "c1",
			func(f *flow.Facts) { f.Complaints[0].AnswerStruck = true },
			fix{func(f *flow.Facts) { f.Complaints[0].AnswerStruck = false }}},
		{"authorization.complaint_unanswered", flow.Diagnosis, flow.AskCustomer, "c1",
			func(f *flow.Facts) { f.Complaints[0].Answer = "" }, answers()},
		{"authorization.reached_not_looked_at", flow.Teardown, flow.AskCustomer, "r1",
			func(f *flow.Facts) { f.Reached[0].LookedAt = false },
			fix{
				func(f *flow.Facts) { f.Reached[0].LookedAt = true },
				func(f *flow.Facts) { f.Reached[0].Disclosed = "cases stay shut" },
			}},
		{"authorization.parts_not_laid_out", flow.Teardown, flow.AskCustomer, "f1",
			func(f *flow.Facts) { f.Findings[0].LaidOut = false },
			fix{
				func(f *flow.Facts) { f.Findings[0].LaidOut = true },
				func(f *flow.Facts) { f.Findings[0].Broken = false },
			}},
		{"authorization.piece_not_kept_open", flow.Teardown, flow.AskCustomer, "f1",
			func(f *flow.Facts) { f.Findings[0].OpenLook = false },
			fix{
				func(f *flow.Facts) { f.Findings[0].OpenLook = true },
				func(f *flow.Facts) { f.Findings[0].PieceMissing = false },
			}},
		{"authorization.tag_missing", flow.Teardown, flow.AskCustomer, "",
			func(f *flow.Facts) { f.Tags[0].Struck = true },
			fix{
				func(f *flow.Facts) { f.Tags[0].Struck = false },
				func(f *flow.Facts) { f.Teardown.NothingCameOff = true },
				func(f *flow.Facts) { f.Teardown.Opened = false },
			}},
		{"authorization.gauge_out_of_date", flow.Teardown, flow.AskCustomer, "f1",
			func(f *flow.Facts) { f.Findings[0].GaugeInDate = false },
			fix{
				func(f *flow.Facts) { f.Findings[0].GaugeInDate = true },
				func(f *flow.Facts) { f.Findings[0].Indicative = true },
			}},
		{"authorization.limit_without_source", flow.Teardown, flow.AskCustomer, "f1",
			func(f *flow.Facts) { f.Findings[0].LimitSourced = false },
			fix{
				func(f *flow.Facts) { f.Findings[0].LimitSourced = true },
				func(f *flow.Facts) { f.Findings[0].Measured = false },
			}},
		{"authorization.evidence_missing", flow.Teardown, flow.AskCustomer, "f1",
			func(f *flow.Facts) { f.Findings[0].Photo = false },
			fix{
				func(f *flow.Facts) { f.Findings[0].Photo = true },
				func(f *flow.Facts) { f.Findings[0].Reading = true },
				func(f *flow.Facts) { f.Findings[0].Reason = "lens broken; felt by hand" },
				func(f *flow.Facts) { f.Findings[0].Grade = 2 },
				func(f *flow.Facts) { f.Findings[0].Struck = true },
			}},
		{"authorization.first_cause_missing", flow.Intake, flow.AskCustomer, "",
			func(f *flow.Facts) { f.FirstCause.Marked = false },
			fix{
				func(f *flow.Facts) { f.FirstCause.Marked = true },
				func(f *flow.Facts) { f.FirstCause.Undetermined = "too far gone" },
				func(f *flow.Facts) { f.Findings[0].Graded = false },
			}},
		{"repair.consent_missing", flow.Authorization, flow.StartRepair, "",
			func(f *flow.Facts) { f.Consent.Given = false },
			fix{
				func(f *flow.Facts) { f.Consent.Given = true },
				func(f *flow.Facts) { f.DropOff = flow.DropOffLimit{Counts: true, Covers: true} },
			}},
		{"repair.consent_without_scope", flow.Release, flow.BackToRepair, "",
			func(f *flow.Facts) { f.Consent.Scope = false },
			fix{func(f *flow.Facts) { f.Consent.Scope = true }}},
		{"repair.consent_not_bound", flow.RoadTest, flow.BackToRepair, "",
			func(f *flow.Facts) { f.Consent.Bound = false; f.DropOff.Counts = true },
			fix{
				func(f *flow.Facts) { f.Consent.Bound = true },
				func(f *flow.Facts) { f.DropOff.Covers = true },
			}},
		{"repair.deposit_missing", flow.Authorization, flow.StartRepair, "",
			func(f *flow.Facts) { f.Deposit.Paid = false },
			fix{
				func(f *flow.Facts) { f.Deposit.Paid = true },
				func(f *flow.Facts) { f.Deposit.Asked = false },
			}},
	}
}

func answers() fix {
	var out fix
	for _, a := range flow.Answers() {
		out = append(out, func(f *flow.Facts) { f.Complaints[0].Answer = a })
	}
	return out
}

func toRoad(code, subject string, spoil func(*flow.Facts), meet ...func(*flow.Facts)) oneGate {
	return oneGate{code, flow.Repair, flow.ToRoadTest, subject, spoil, meet}
}

func casesRide() []oneGate {
	stand := func(f *flow.Facts) { f.RoadTest.Kind, f.RoadTest.Reason = flow.RunStand, "not registered" }
	return []oneGate{
		toRoad("first_start.not_turned_by_hand", "", func(f *flow.Facts) { f.FirstStart.TurnedByHand = false },
			func(f *flow.Facts) { f.FirstStart.TurnedByHand = true },
			func(f *flow.Facts) { f.FirstStart.EngineOpened = false }),
		toRoad("first_start.marks_not_reread", "", func(f *flow.Facts) { f.FirstStart.MarksReread = false },
			func(f *flow.Facts) { f.FirstStart.MarksReread = true },
			func(f *flow.Facts) { f.FirstStart.NoMarks = "two-stroke" }),
		toRoad("first_start.no_oil", "", func(f *flow.Facts) { f.FirstStart.OilIn, f.FirstStart.EngineOpened = false, false },
			func(f *flow.Facts) { f.FirstStart.OilIn = true },
			func(f *flow.Facts) { f.FirstStart.OilOut = false }),
		toRoad("first_start.leaks_not_checked", "", func(f *flow.Facts) { f.FirstStart.NoLeaks = false },
			func(f *flow.Facts) { f.FirstStart.NoLeaks = true },
			func(f *flow.Facts) { f.FirstStart.EngineOpened, f.FirstStart.CircuitOpen = false, false }),
		toRoad("first_start.tools_not_out", "", func(f *flow.Facts) { f.FirstStart.ToolsOut = false },
			func(f *flow.Facts) { f.FirstStart.ToolsOut = true },
			func(f *flow.Facts) { f.FirstStart = flow.FirstStartFacts{} }),
		toRoad("first_start.pressure_missing", "", func(f *flow.Facts) { f.FirstStart.Pressure = false },
			func(f *flow.Facts) { f.FirstStart.Pressure = true },
			func(f *flow.Facts) { f.FirstStart.PressureNotPossible = "no port for a gauge" },
			func(f *flow.Facts) { f.FirstStart.PressureInQuestion = false }),
		toRoad("road_test.line_open", "l1", func(f *flow.Facts) { f.Lines[0].State = flow.LineAgreed },
			func(f *flow.Facts) { f.Lines[0].State = flow.LineDone },
			func(f *flow.Facts) { f.Lines[0].State = flow.LineStruck },
			func(f *flow.Facts) { f.Lines[0].AfterRide = true }),
		toRoad("repair.hold_point_open", "h1", func(f *flow.Facts) { f.HoldPoints[0].Passed = false },
			func(f *flow.Facts) { f.HoldPoints[0].Passed = true }),
		{"repair.hold_point_open", flow.RoadTest, flow.ToRelease, "h1",
			func(f *flow.Facts) { f.HoldPoints[0].Passed = false },
			fix{func(f *flow.Facts) { f.HoldPoints[0].Passed = true }}},
		toRoad("road_test.dangerous_finding_open", "f1", func(f *flow.Facts) { f.Findings[0].Settled = flow.SettledTrailer },
			func(f *flow.Facts) { f.Findings[0].Settled = flow.SettledRepaired }, stand),
		toRoad("road_test.check_not_passed", "brakes", func(f *flow.Facts) { f.PreRide[0].Fresh = false },
			func(f *flow.Facts) { f.PreRide[0].Fresh = true }),
		toRoad("road_test.check_not_passed", "brakes", func(f *flow.Facts) { f.PreRide[0].Passed, f.PreRide[0].NotFitted = false, true },
			func(f *flow.Facts) { f.PreRide[0].Passed = true }),
		toRoad("road_test.check_not_passed", "lights", func(f *flow.Facts) { f.PreRide = f.PreRide[:6] },
			func(f *flow.Facts) { f.PreRide = append(f.PreRide, flow.PreRide{Check: flow.CheckLights, NotFitted: true}) }),
		toRoad("road_test.kind_missing", "", func(f *flow.Facts) { f.RoadTest.Kind = "" },
			func(f *flow.Facts) { f.RoadTest.Kind = flow.RunRide }, stand),
		toRoad("road_test.reason_missing", "", func(f *flow.Facts) { f.RoadTest.Kind = flow.RunRollingRoad },
			func(f *flow.Facts) { f.RoadTest.Reason = "ice" },
			func(f *flow.Facts) { f.RoadTest.Kind = flow.RunRide }),
		toRoad("road_test.rider_not_licensed", "", func(f *flow.Facts) { f.RoadTest.RiderLicensed = false },
			func(f *flow.Facts) { f.RoadTest.RiderLicensed = true }, stand),
		toRoad("road_test.rider_not_insured", "", func(f *flow.Facts) { f.RoadTest.RiderInsured = false },
			func(f *flow.Facts) { f.RoadTest.RiderInsured = true }, stand),
		toRoad("road_test.leave_missing", "", func(f *flow.Facts) { f.RoadTest.LeaveToRide = false },
			func(f *flow.Facts) { f.RoadTest.LeaveToRide = true }, stand),
		toRoad("road_test.distance_missing", "", func(f *flow.Facts) { f.RoadTest.DistanceOut = false },
			func(f *flow.Facts) { f.RoadTest.DistanceOut = true }, stand),
		toRoad("repair.fastening_not_done", "j1", func(f *flow.Facts) { f.Fastenings[0].Done = false },
			func(f *flow.Facts) { f.Fastenings[0].Done = true },
			func(f *flow.Facts) { f.Fastenings[0].Struck = true },
			func(f *flow.Facts) { f.Fastenings[0].Critical = false }),
		{"repair.fastening_not_checked", flow.Release, flow.Close, "j1",
			func(f *flow.Facts) { f.Fastenings[0].CheckedBy = "ann"; f.HandOver.SelfCheckTold = true },
			fix{
				func(f *flow.Facts) { f.Fastenings[0].CheckedBy = "bo" },
				func(f *flow.Facts) { f.OnePersonShop, f.Fastenings[0].SelfReinspection = true, true },
			}},
		{"repair.fastening_not_checked", flow.Repair, flow.Withdraw, "j1",
			func(f *flow.Facts) { f.Fastenings[0].CheckedBy, f.Fastenings[0].SelfReinspection = "ann", true },
			fix{func(f *flow.Facts) { f.OnePersonShop = true }}},
		{"tags.not_accounted", flow.Release, flow.Close, "t1",
			func(f *flow.Facts) { f.Tags[0].Accounted = false },
			fix{
				func(f *flow.Facts) { f.Tags[0].Accounted = true },
				func(f *flow.Facts) { f.Tags[0].OffOnPurpose = true },
				func(f *flow.Facts) { f.Tags[0].Struck = true },
			}},
		{"lines.worked_not_agreed", flow.Teardown, flow.Withdraw, "l1",
			func(f *flow.Facts) { f.Lines[0].Consented, f.Lines[0].State = false, flow.LineProposed },
			fix{
				func(f *flow.Facts) { f.Lines[0].Consented = true },
				func(f *flow.Facts) { f.Lines[0].State = flow.LineStruck },
				func(f *flow.Facts) { f.Lines[0].Worked = false },
			}},
	}
}

func closing(code, subject string, spoil func(*flow.Facts), meet ...func(*flow.Facts)) oneGate {
	return oneGate{code, flow.Release, flow.Close, subject, spoil, meet}
}

func casesAfter() []oneGate {
	warned := func(f *flow.Facts) {
		f.Findings[0].Settled = flow.SettledOwnerInsists
		f.Findings[0].Warning = flow.Warning{Words: true, Time: true, Witness: true}
	}
	return []oneGate{
		{"release.outcome_missing", flow.RoadTest, flow.ToRelease, "",
			func(f *flow.Facts) { f.RoadTest.Outcome = "" },
			fix{func(f *flow.Facts) { f.RoadTest.Outcome = flow.OutcomeOK }}},
		{"release.fault_open", flow.RoadTest, flow.ToRelease, "",
			func(f *flow.Facts) { f.RoadTest.Outcome = flow.OutcomeFault },
			fix{func(f *flow.Facts) { f.RoadTest.FaultDisclosed = true }}},
		{"release.complaint_not_retried", flow.RoadTest, flow.ToRelease, "c1",
			func(f *flow.Facts) { f.Complaints[0].Again = flow.AgainNotTried },
			fix{
				func(f *flow.Facts) { f.Complaints[0].NotTried = "shows only when cold" },
				func(f *flow.Facts) { f.Complaints[0].Again = flow.AgainSame },
				func(f *flow.Facts) { f.Complaints[0].Answer = flow.AnswerRequest },
				func(f *flow.Facts) { f.Complaints[0].Answer = flow.AnswerNormal },
				func(f *flow.Facts) { f.Complaints[0].Answer = flow.AnswerNotWished },
			}},
		{"release.debris_not_clear", flow.RoadTest, flow.ToRelease, "",
			func(f *flow.Facts) { f.Debris.Falling = false },
			fix{
				func(f *flow.Facts) { f.Debris.Falling = true },
				func(f *flow.Facts) { f.Debris.NextBooked = true },
				func(f *flow.Facts) { f.Debris.Asked = false },
			}},
		{"release.dangerous_finding_open", flow.RoadTest, flow.ToRelease, "f1",
			func(f *flow.Facts) { warned(f); f.Findings[0].Warning.Witness = false },
			fix{
				warned,
				func(f *flow.Facts) { f.Findings[0].Settled = flow.SettledTrailer },
				func(f *flow.Facts) { f.Findings[0].Dangerous = false },
			}},
		{"release.dangerous_finding_open", flow.Repair, flow.Withdraw, "f1",
			func(f *flow.Facts) { f.Findings[0].Settled = "" }, fix{warned}},
		closing("release.dangerous_finding_open", "f1",
			func(f *flow.Facts) { f.Findings[0].Settled = ""; f.HandOver.Transport = flow.TransportTrailer }, warned),
		{"release.not_run_reason_missing", flow.Repair, flow.LeaveNotRun, "",
			func(f *flow.Facts) { *f = boxed(); f.NotRun.Reason = "" },
			fix{func(f *flow.Facts) { f.NotRun.Reason = "no money left" }}},
		{"release.not_run_state_missing", flow.Authorization, flow.LeaveNotRun, "",
			func(f *flow.Facts) { *f = boxed(); f.NotRun.State = "" },
			fix{func(f *flow.Facts) { f.NotRun.State = flow.StateComplete }}},
		closing("closed.hold_point_open", "h1", func(f *flow.Facts) { f.HoldPoints[0].Passed = false },
			func(f *flow.Facts) { f.HoldPoints[0].Passed = true },
			func(f *flow.Facts) { hp := f.HoldPoints; *f = boxed(); f.HoldPoints = hp }),
		closing("closed.line_open", "l1", func(f *flow.Facts) { f.Lines[0].State, f.Lines[0].AfterRide = flow.LineAgreed, true },
			func(f *flow.Facts) { f.Lines[0].State = flow.LineDone },
			func(f *flow.Facts) { f.Lines[0].State = flow.LineStruck }),
		closing("closed.bench_time_running", "b1", func(f *flow.Facts) { f.BenchTimes = []flow.Row{row("b1")} },
			func(f *flow.Facts) { f.BenchTimes = nil }),
		closing("closed.bill_missing", "", func(f *flow.Facts) { f.Bill.Present = false },
			func(f *flow.Facts) { f.Bill.Present = true },
			func(f *flow.Facts) { f.Bill.NoBill = "earlier job made good" }),
		closing("closed.bill_over_consent", "", func(f *flow.Facts) { f.Bill.WithinConsent = false },
			func(f *flow.Facts) { f.Bill.WithinConsent = true }),
		closing("closed.payment_missing", "", func(f *flow.Facts) { f.Bill.Paid = false },
			func(f *flow.Facts) { f.Bill.Paid = true },
			func(f *flow.Facts) { f.Bill.OnTerms = true }),
		closing("closed.old_parts_open", "", func(f *flow.Facts) { f.OldParts.Settled = false },
			func(f *flow.Facts) { f.OldParts.Settled = true },
			func(f *flow.Facts) { f.OldParts.Replaced = false }),
		closing("closed.evidence_not_kept", "", func(f *flow.Facts) { f.OldParts.KeptUntil = false },
			func(f *flow.Facts) { f.OldParts.KeptUntil = true },
			func(f *flow.Facts) { f.OldParts.ClaimPossible = false }),
		closing("closed.advice_missing", "", func(f *flow.Facts) { f.HandOver.Advice = false },
			func(f *flow.Facts) { f.HandOver.Advice = true }),
		closing("closed.recheck_undated", "", func(f *flow.Facts) { f.HandOver.RecheckDated = false },
			func(f *flow.Facts) { f.HandOver.RecheckDated = true },
			func(f *flow.Facts) { f.HandOver.RecheckNeeded = false }),
		closing("closed.still_open_unwritten", "", func(f *flow.Facts) { f.HandOver.StillOpenWritten, f.Complaints[0].Again = false, flow.AgainBetter },
			func(f *flow.Facts) { f.HandOver.StillOpenWritten = true },
			func(f *flow.Facts) { f.Complaints[0].Again = flow.AgainGone }),
		closing("closed.self_check_not_told", "",
			func(f *flow.Facts) {
				f.OnePersonShop, f.Fastenings[0].CheckedBy, f.Fastenings[0].SelfReinspection = true, "ann", true
			},
			func(f *flow.Facts) { f.HandOver.SelfCheckTold = true },
			func(f *flow.Facts) { f.Fastenings[0].CheckedBy = "bo" }),
		closing("closed.not_run_warning_missing", "", func(f *flow.Facts) { *f = boxed(); f.HandOver.NotRunTold = false },
			func(f *flow.Facts) { f.HandOver.NotRunTold = true }),
		closing("closed.must_be_carried", "", func(f *flow.Facts) { f.Findings[0].Settled = flow.SettledTrailer },
			func(f *flow.Facts) { f.HandOver.Transport = flow.TransportTrailer }, warned,
			func(f *flow.Facts) { f.Findings[0].Settled = flow.SettledRepaired }),
		closing("closed.must_be_carried", "", func(f *flow.Facts) { *f = boxed(); f.HandOver.Transport = "" },
			func(f *flow.Facts) { f.HandOver.Transport = flow.TransportTrailer }),
		closing("closed.handed_to_missing", "", func(f *flow.Facts) { f.HandOver.To = "" },
			func(f *flow.Facts) { f.HandOver.To = "her brother" }),
		{"withdrawn.reason_missing", flow.Intake, flow.Withdraw, "",
			func(f *flow.Facts) { f.Withdrawal.Reason = "" },
			fix{func(f *flow.Facts) { f.Withdrawal.Reason = "moved away" }}},
		{"withdrawn.state_missing", flow.Diagnosis, flow.Withdraw, "",
			func(f *flow.Facts) { f.Withdrawal.State = "" },
			fix{func(f *flow.Facts) { f.Withdrawal.State = flow.StateMovableOnly }}},
		{"withdrawn.warning_missing", flow.Teardown, flow.Withdraw, "",
			func(f *flow.Facts) { f.RoadTest.Outcome = "" },
			fix{
				func(f *flow.Facts) { f.HandOver.NotRunTold = true },
				func(f *flow.Facts) { f.Teardown.Opened = false },
			}},
		{"withdrawn.bench_time_running", flow.RoadTest, flow.Withdraw, "b1",
			func(f *flow.Facts) { f.BenchTimes = []flow.Row{row("b1")} },
			fix{func(f *flow.Facts) { f.BenchTimes = nil }}},
	}
}

func TestEachGateAlone(t *testing.T) {
	t.Parallel()
	for _, tt := range gateCases() {
		t.Run(tt.code+"/"+string(tt.move), func(t *testing.T) {
			t.Parallel()
			f := good()
			tt.spoil(&f)
			to, unmet, err := flow.Next(tt.from, tt.move, f)
			if err != nil || to != tt.from {
				t.Fatalf("Next = %s, %v; want to stay in %s", to, err, tt.from)
			}
			if diff := cmp.Diff([]string{tt.code}, codes(unmet)); diff != "" {
				t.Fatalf("gates (-want +got):\n%s", diff)
			}
			if unmet[0].Subject != tt.subject {
				t.Errorf("subject = %q, want %q", unmet[0].Subject, tt.subject)
			}
			for i, meet := range tt.meet {
				g := clone(f)
				meet(&g)
				want, _ := flow.Leads(tt.from, tt.move)
				if to, unmet, err := flow.Next(tt.from, tt.move, g); to != want || err != nil {
					t.Errorf("met in way %d: stays in %s because of %v (%v)", i, to, codes(unmet), err)
				}
			}
		})
	}
}

func TestEveryGateHasACaseAWayOutAndAPlace(t *testing.T) {
	t.Parallel()
	has := map[string]bool{}
	for _, c := range gateCases() {
		if len(c.meet) == 0 {
			t.Errorf("%s: no way to meet it", c.code)
		}
		has[c.code] = true
	}
	if len(flow.Rules()) < 50 {
		t.Fatalf("only %d rules", len(flow.Rules()))
	}
	shape := regexp.MustCompile(`^[a-z_]+\.[a-z_]+$`)
	for _, r := range flow.Rules() {
		if !has[r.Code] {
			t.Errorf("%s: no case in the table", r.Code)
		}
		if !slices.Contains(flow.Places(), r.Where) || !shape.MatchString(r.Code) {
			t.Errorf("%s at %q: not in form", r.Code, r.Where)
		}
		if flow.Safety(r.Code) != r.Safety {
			t.Errorf("%s: Safety disagrees with Rules", r.Code)
		}
	}
	if flow.Safety("no.such") || flow.Safety("hold.active") || !flow.Safety("fastenings.not_watched") {
		t.Error("Safety answers wrongly")
	}
}

func TestEveryGateOfTheTableIsARule(t *testing.T) {
	t.Parallel()
	var known []string
	for _, r := range flow.Rules() {
		if slices.Contains(known, r.Code) {
			t.Errorf("%s listed twice", r.Code)
		}
		known = append(known, r.Code)
	}
	used := map[string]bool{}
	for _, s := range flow.Stages() {
		for _, m := range flow.MovesFrom(s) {
			for _, c := range flow.RulesFor(s, m) {
				used[c] = true
				if !slices.Contains(known, c) {
					t.Errorf("%s x %s raises %s, which is no rule", s, m, c)
				}
			}
		}
	}
	for _, c := range known {
		if !used[c] {
			t.Errorf("%s is never raised", c)
		}
	}
}

func TestSentencesNameTheRow(t *testing.T) {
	t.Parallel()
	for _, tt := range gateCases() {
		f := good()
		tt.spoil(&f)
		_, named, _ := flow.Next(tt.from, tt.move, f)
		if len(named) == 0 {
			t.Fatalf("%s not raised", tt.code)
		}
		if tt.subject != "" && !strings.Contains(named[0].Message, strings.ReplaceAll(tt.subject, "_", " ")) {
			t.Errorf("%s: %q does not name the row", tt.code, named[0].Message)
		}
		if strings.ContainsAny(named[0].Message, "{}") || !strings.HasSuffix(named[0].Message, ".") {
			t.Errorf("%s: %q is no sentence", tt.code, named[0].Message)
		}
	}
}

func TestEverythingMissingAtOnce(t *testing.T) {
	t.Parallel()
	_, unmet, err := flow.Next(flow.Intake, flow.StartDiagnosis, flow.Facts{Hold: flow.Hold{Active: true}})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"hold.active", "intake.customer_missing", "intake.machine_missing", "intake.odometer_missing",
		"intake.complaint_missing", "intake.facts_missing", "diagnosis.not_agreed",
	}
	if diff := cmp.Diff(want, codes(unmet)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
