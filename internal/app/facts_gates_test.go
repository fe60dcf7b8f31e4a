package app_test

import (
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// gateCase shows that the loader feeds one gate: it is unmet by the rows that
// spoil stores, and met once fix has changed them.
type gateCase struct {
	code  string
	name  string // what the case shows, where the code does not say it
	at    shop.Stage
	move  flow.Move
	spoil func(*flowShop)
	fix   func(*flowShop)
}

func TestFactsFeedEveryGate(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	seen := map[string]bool{}
	for _, c := range gateCases() {
		seen[c.code] = true
		s.visit()
		s.setJob(func(j *shop.Job) { j.Stage = c.at })
		c.spoil(s)
		if _, unmet := s.unmet(c.move)[c.code]; !unmet {
			t.Errorf("%s %s: the rows do not raise it", c.code, c.name)
		}
		c.fix(s)
		if still := s.unmet(c.move)[c.code]; still != nil {
			t.Errorf("%s %s: still unmet after it was put right: %v", c.code, c.name, still)
		}
	}
	for _, r := range flow.Rules() {
		if !seen[r.Code] && !heldElsewhere[r.Code] {
			t.Errorf("no case shows that rows feed the gate %s", r.Code)
		}
	}
}

// heldElsewhere are gates whose facts are those of money and consent, or that
// the schema itself keeps met: a work order has a customer and a machine.
var heldElsewhere = map[string]bool{
	"intake.customer_missing": true, "intake.machine_missing": true,
	"teardown.consent_missing": true, "teardown.term_missing": true,
	"repair.consent_missing": true, "repair.consent_without_scope": true, "repair.consent_not_bound": true, "repair.deposit_missing": true,
	"closed.bill_missing": true, "closed.bill_over_consent": true, "closed.payment_missing": true,
}

func nothing(*flowShop) {}

// all changes every row of a kind that the job under test has.
func all[T any, P interface {
	*T
	app.Noun
}](change func(*T)) func(*flowShop) {
	return func(s *flowShop) { editAll[T, P](s, change) }
}

func gateCases() []gateCase {
	var list []gateCase
	for _, group := range [][]gateCase{intakeCases(), findingCases(), repairCases(), runCases(), leavingCases()} {
		list = append(list, group...)
	}
	return list
}

func (s *flowShop) intake(fill func(*shop.IntakeFacts)) {
	s.t.Helper()
	in := shop.IntakeFacts{ID: s.order, Origin: s.made(), LeaveToRide: shop.YesNoNotKnown, Intent: shop.IntentNotSaid, OldParts: shop.OldPartsNotSaid}
	fill(&in)
	s.insert(&in)
}

func (s *flowShop) setIntake(change func(*shop.IntakeFacts)) {
	s.t.Helper()
	edit(s, string(s.order), change)
}

func intakeCases() []gateCase {
	const at, move = shop.StageIntake, flow.AskCustomer
	hold := func(s *flowShop) {
		s.insert(&shop.Hold{ID: "01970000-0000-7000-8000-000000000001", OfJob: s.of(), Reason: shop.HoldReasonParts, HeldBy: s.who.StaffID, HeldAt: s.clock.Now()})
	}
	lift := func(s *flowShop) {
		edit(s, "01970000-0000-7000-8000-000000000001", func(h *shop.Hold) { h.LiftedBy, h.LiftedAt = s.who.StaffID, s.at(0) })
	}
	return []gateCase{
		{"hold.active", "", at, move, hold, lift},
		{"intake.odometer_missing", "no row", at, move, nothing, func(s *flowShop) { s.intake(func(i *shop.IntakeFacts) { i.Odometer = km("12000") }) }},
		{"intake.odometer_missing", "not readable", at, move, func(s *flowShop) { s.intake(func(*shop.IntakeFacts) {}) },
			func(s *flowShop) {
				s.setIntake(func(i *shop.IntakeFacts) { i.OdometerNotReadable = "display is dead" })
			}},
		{"intake.facts_missing", "an untouched form", at, move, func(s *flowShop) { s.intake(func(i *shop.IntakeFacts) { i.Odometer = km("1") }) },
			func(s *flowShop) { s.setIntake(func(i *shop.IntakeFacts) { i.Keys = 1 }) }},
		{"intake.complaint_missing", "struck does not count", at, move,
			func(s *flowShop) {
				s.complaint(func(c *shop.Complaint) { c.StruckAt, c.StruckReason = s.at(0), "wrong job" })
			},
			func(s *flowShop) { s.complaint(func(*shop.Complaint) {}) }},
		{"authorization.complaint_unanswered", "", at, move, func(s *flowShop) { s.complaint(func(*shop.Complaint) {}) },
			func(s *flowShop) {
				s.setComplaints(func(c *shop.Complaint) { c.Answer = shop.AnswerNotReproduced })
			}},
		{"authorization.complaint_unanswered", "its finding was struck", at, move, func(s *flowShop) {
			f := s.finding(func(f *shop.Finding) { f.StruckAt, f.StruckReason = s.at(0), "not so" })
			s.complaint(func(c *shop.Complaint) { c.Answer, c.AnswerFindingID = shop.AnswerFinding, f })
		}, func(s *flowShop) {
			f := s.finding(func(*shop.Finding) {})
			s.setComplaints(func(c *shop.Complaint) { c.AnswerFindingID = f })
		}},
		{"diagnosis.not_agreed", "free", at, flow.StartDiagnosis, nothing, func(s *flowShop) { s.setJob(func(j *shop.Job) { j.DiagnosisFree = true }) }},
		{"teardown.as_found_missing", "", shop.StageDiagnosis, flow.OpenUp, nothing, func(s *flowShop) {
			s.insert(&shop.AsFound{ID: shop.AsFoundID(s.src.ID()), OfJob: s.of(), Origin: s.made(), What: "timing marks", Mark: "in line"})
		}},
		{"teardown.as_found_missing", "waived on the job", shop.StageDiagnosis, flow.OpenUp, nothing,
			func(s *flowShop) { s.setJob(func(j *shop.Job) { j.AsFoundWaived = "it came in boxes" }) }},
		{"teardown.as_found_missing", "waived by a row", shop.StageDiagnosis, flow.OpenUp, nothing, func(s *flowShop) {
			s.insert(&shop.AsFound{ID: shop.AsFoundID(s.src.ID()), OfJob: s.of(), Origin: s.made(), What: "leak-down", WaivedBecause: "engine is seized"})
		}},
	}
}

// setComplaints changes every complaint of the job under test.
func (s *flowShop) setComplaints(change func(*shop.Complaint)) { editAll(s, change) }

func (s *flowShop) setFindings(change func(*shop.Finding)) { editAll(s, change) }

func findingCases() []gateCase {
	const at, move = shop.StageTeardown, flow.AskCustomer
	find := func(fill func(*shop.Finding)) func(*flowShop) { return func(s *flowShop) { s.finding(fill) } }
	set := func(fill func(*shop.Finding)) func(*flowShop) { return func(s *flowShop) { s.setFindings(fill) } }
	bad := func(f *shop.Finding) { f.LookedAtGrade, f.EffectiveGrade = grade(4), grade(4) }
	return []gateCase{
		{"authorization.reached_not_looked_at", "disclosed", at, move, find(func(f *shop.Finding) { f.ReachedByDebris = true }),
			set(func(f *shop.Finding) { f.NotLookedBecause = "customer declined" })},
		{"authorization.reached_not_looked_at", "looked at", at, move, find(func(f *shop.Finding) { f.ReachedByDebris = true }),
			set(func(f *shop.Finding) { f.LookedAtGrade, f.EffectiveGrade = grade(1), grade(1) })},
		{"authorization.parts_not_laid_out", "", at, move, find(func(f *shop.Finding) { f.InPieces = true }),
			set(func(f *shop.Finding) { f.LaidOut = true })},
		{"authorization.piece_not_kept_open", "look further", at, move, find(func(f *shop.Finding) { f.Pieces = shop.PiecesMissing }),
			set(func(f *shop.Finding) { f.Advised = shop.AdvisedLookFurther })},
		{"authorization.piece_not_kept_open", "a place it can be", at, move, find(func(f *shop.Finding) { f.Pieces = shop.PiecesMissing }),
			find(func(f *shop.Finding) { f.Component, f.ReachedByDebris = "sump", true })},
		{"authorization.tag_missing", "", at, move, func(s *flowShop) { s.setJob(func(j *shop.Job) { j.OpenedUp = true }) },
			func(s *flowShop) { s.tag(shop.TagOutcomeUnset) }},
		{"authorization.tag_missing", "nothing came off", at, move, func(s *flowShop) { s.setJob(func(j *shop.Job) { j.OpenedUp = true }) },
			func(s *flowShop) { s.setJob(func(j *shop.Job) { j.NothingCameOff = "only a plug was drawn" }) }},
		{"authorization.gauge_out_of_date", "", at, move, func(s *flowShop) { s.measured("2026-03-02", "manual p. 7") },
			func(s *flowShop) { editAll(s, func(g *shop.Gauge) { g.CalibrationDueOn = "2026-03-03" }) }},
		{"authorization.gauge_out_of_date", "marked indicative", at, move, func(s *flowShop) { s.measured("2026-03-01", "manual p. 7") },
			func(s *flowShop) { editAll(s, func(m *shop.Measurement) { m.Indicative = true }) }},
		{"authorization.limit_without_source", "", at, move, func(s *flowShop) { s.measured("2027-01-01", "") },
			func(s *flowShop) { editAll(s, func(m *shop.Measurement) { m.LimitSource = "manual p. 7" }) }},
		{"authorization.limit_without_source", "the eye says the same", at, move, func(s *flowShop) { s.measured("2027-01-01", "") },
			set(func(f *shop.Finding) { f.LookedAtGrade = grade(3) })},
		{"authorization.evidence_missing", "a photo that is stored", at, move, func(s *flowShop) { s.photo(s.finding(bad), nil) },
			func(s *flowShop) { editAll(s, func(p *shop.Photo) { p.StoredAt = s.at(0) }) }},
		{"authorization.evidence_missing", "a reason", at, move, find(bad), set(func(f *shop.Finding) { f.EvidenceBecause = "in the bin already" })},
		{"authorization.evidence_missing", "a reading", at, move, func(s *flowShop) {
			f := s.finding(bad)
			s.measurement(f, func(m *shop.Measurement) { m.StruckAt, m.StruckReason = s.at(0), "wrong part" })
		}, func(s *flowShop) { editAll(s, func(m *shop.Measurement) { m.StruckAt, m.StruckReason = nil, "" }) }},
		{"authorization.first_cause_missing", "marked", at, move, find(bad), set(func(f *shop.Finding) { f.FirstCause = true })},
		{"authorization.first_cause_missing", "undetermined", at, move, find(bad),
			func(s *flowShop) { s.setJob(func(j *shop.Job) { j.CauseUndetermined = "too far gone" }) }},
		{"release.dangerous_finding_open", "", shop.StageRoadTest, flow.ToRelease, find(func(f *shop.Finding) { f.SafeToRide = shop.YesNoNo }),
			set(func(f *shop.Finding) { f.DangerOutcome = shop.DangerOutcomeLeavesOnTrailer })},
		{"release.dangerous_finding_open", "insisting needs words, time and witness", shop.StageRoadTest, flow.ToRelease,
			find(func(f *shop.Finding) {
				f.SafeToRide, f.DangerOutcome, f.DangerWarning = shop.YesNoNo, shop.DangerOutcomeOwnerInsists, "it can seize"
			}),
			func(s *flowShop) {
				s.setFindings(func(f *shop.Finding) { f.DangerAt, f.DangerWitness = s.at(0), "Bo" })
			}},
		{"road_test.dangerous_finding_open", "", shop.StageRepair, flow.ToRoadTest, find(func(f *shop.Finding) { f.SafeToRide = shop.YesNoNo }),
			set(func(f *shop.Finding) { f.DangerOutcome = shop.DangerOutcomeRepaired })},
	}
}

func repairCases() []gateCase {
	const at, move = shop.StageRepair, flow.ToRoadTest
	agreed := func(s *flowShop) { s.line(func(l *shop.Line) { l.State = shop.LineStateAgreed }) }
	lines := func(change func(*flowShop, *shop.Line)) func(*flowShop) {
		return func(s *flowShop) { editAll(s, func(l *shop.Line) { change(s, l) }) }
	}
	joints := func(change func(*flowShop, *shop.Fastening)) func(*flowShop) {
		return func(s *flowShop) { editAll(s, func(f *shop.Fastening) { change(s, f) }) }
	}
	done := func(s *flowShop, f *shop.Fastening) { f.DoneBy, f.DoneAt = s.who.StaffID, s.at(time.Hour) }
	checked := func(s *flowShop, f *shop.Fastening) {
		done(s, f)
		f.CheckedBy, f.CheckedAt = s.other, s.at(time.Hour)
	}
	put := func(change func(*flowShop, *shop.Fastening)) func(*flowShop) {
		return func(s *flowShop) { s.fastening(func(f *shop.Fastening) { change(s, f) }) }
	}
	return []gateCase{
		{"road_test.line_open", "done", at, move, agreed, lines(func(s *flowShop, l *shop.Line) {
			l.State, l.DoneBy, l.DoneAt = shop.LineStateDone, s.who.StaffID, s.at(time.Hour)
		})},
		{"road_test.line_open", "struck", at, move, agreed, lines(func(s *flowShop, l *shop.Line) { l.StruckAt, l.StruckReason = s.at(0), "not wanted" })},
		{"road_test.line_open", "after the ride", at, move, agreed, lines(func(_ *flowShop, l *shop.Line) { l.AfterRide = true })},
		{"lines.worked_not_agreed", "", at, move, func(s *flowShop) { s.line(func(l *shop.Line) { l.DoneBy, l.DoneAt = s.who.StaffID, s.at(time.Hour) }) },
			lines(func(s *flowShop, l *shop.Line) { l.StruckAt, l.StruckReason = s.at(0), "done by mistake" })},
		{"tags.not_accounted", "", at, move, func(s *flowShop) { s.tag(shop.TagOutcomeUnset) },
			func(s *flowShop) { editAll(s, func(t *shop.Tag) { t.Outcome = shop.TagOutcomeRefitted }) }},
		{"tags.not_accounted", "off on purpose", at, move, func(s *flowShop) { s.tag(shop.TagOutcomeUnset) },
			func(s *flowShop) { editAll(s, func(t *shop.Tag) { t.Outcome = shop.TagOutcomeOffOnPurpose }) }},
		{"repair.fastening_not_done", "", at, move, put(func(*flowShop, *shop.Fastening) {}), joints(done)},
		{"repair.fastening_not_done", "to be done again", at, move, put(func(s *flowShop, f *shop.Fastening) { checked(s, f); f.RedoBecause = "nobody watched" }),
			joints(func(_ *flowShop, f *shop.Fastening) { f.RedoBecause = "" })},
		{"repair.fastening_not_checked", "", at, move, put(done), joints(checked)},
		{"repair.fastening_not_checked", "another account of the same person", at, move,
			put(func(s *flowShop, f *shop.Fastening) { checked(s, f); f.CheckedBy = s.alias }), joints(checked)},
		{"repair.hold_point_open", "", at, move, func(s *flowShop) { s.holdPoint() },
			func(s *flowShop) {
				editAll(s, func(h *shop.HoldPoint) { h.PassedBy, h.PassedAt = s.who.StaffID, s.at(0) })
			}},
		{"repair.hold_point_open", "a joint undone opens it again", at, move, func(s *flowShop) {
			h := s.holdPoint()
			editAll(s, func(h *shop.HoldPoint) { h.PassedBy, h.PassedAt = s.who.StaffID, s.at(0) })
			s.fastening(func(f *shop.Fastening) { f.HoldPointID = h })
		}, joints(checked)},
	}
}

func runCases() []gateCase {
	const at, move = shop.StageRepair, flow.ToRoadTest
	open := func(s *flowShop) { s.setJob(func(j *shop.Job) { j.EngineOpened, j.PressureInQuestion = true, true }) }
	start := func(fill func(*shop.FirstStart)) func(*flowShop) {
		return func(s *flowShop) {
			f := shop.FirstStart{ID: s.job, OfJob: s.of(), Origin: s.made()}
			fill(&f)
			s.insert(&f)
		}
	}
	road := func(fill func(*flowShop, *shop.RoadTest)) func(*flowShop) {
		return func(s *flowShop) { s.road(func(r *shop.RoadTest) { fill(s, r) }) }
	}
	plain := road(func(*flowShop, *shop.RoadTest) {})
	set := func(fill func(*flowShop, *shop.RoadTest)) func(*flowShop) {
		return func(s *flowShop) { editAll(s, func(r *shop.RoadTest) { fill(s, r) }) }
	}
	return []gateCase{
		{"first_start.not_turned_by_hand", "", at, move, open, start(func(f *shop.FirstStart) { f.TurnedByHand = true })},
		{"first_start.marks_not_reread", "", at, move, open, start(func(f *shop.FirstStart) { f.MarksReread = true })},
		{"first_start.marks_not_reread", "none there", at, move, open, start(func(f *shop.FirstStart) { f.NoMarksBecause = "piston-ported" })},
		{"first_start.no_oil", "", at, move, func(s *flowShop) { s.setJob(func(j *shop.Job) { j.OilOut = true }) }, start(func(f *shop.FirstStart) { f.OilInAndPrimed = true })},
		{"first_start.leaks_not_checked", "", at, move, func(s *flowShop) { s.setJob(func(j *shop.Job) { j.CircuitOpen = true }) }, start(func(f *shop.FirstStart) { f.NoLeaks = true })},
		{"first_start.tools_not_out", "", at, move, open, start(func(f *shop.FirstStart) { f.ToolsOut = true })},
		{"first_start.pressure_missing", "read", at, move, open, start(func(f *shop.FirstStart) { f.Pressure = shop.Quantity{Value: "3", Unit: "bar", Entered: "3 bar"} })},
		{"first_start.pressure_missing", "not possible", at, move, open, start(func(f *shop.FirstStart) { f.PressureNotPossible = "no port" })},
		{"road_test.check_not_passed", "never", at, move, nothing, plain},
		{"road_test.check_not_passed", "brakes not good", at, move, road(func(_ *flowShop, r *shop.RoadTest) { r.Brakes = shop.PreRideNotOk }),
			set(func(_ *flowShop, r *shop.RoadTest) { r.Brakes = shop.PreRideOk })},
		{"road_test.check_not_passed", "no lights fitted", at, move, road(func(_ *flowShop, r *shop.RoadTest) { r.Lights = shop.PreRideUnset }),
			set(func(_ *flowShop, r *shop.RoadTest) { r.Lights = shop.PreRideNotFitted })},
		{"road_test.check_not_passed", "too long ago", at, move, road(func(s *flowShop, r *shop.RoadTest) { r.CheckedAt = s.at(5 * time.Hour) }),
			set(func(s *flowShop, r *shop.RoadTest) { r.CheckedAt = s.at(3 * time.Hour) })},
		{"road_test.check_not_passed", "a line done since", at, move, func(s *flowShop) {
			s.road(func(r *shop.RoadTest) { r.CheckedAt = s.at(2 * time.Hour) })
			s.line(func(l *shop.Line) { l.State, l.DoneBy, l.DoneAt = shop.LineStateDone, s.who.StaffID, s.at(time.Hour) })
		}, set(func(s *flowShop, r *shop.RoadTest) { r.CheckedAt = s.at(0) })},
		{"road_test.check_not_passed", "a joint tightened since, for another job of the visit", at, move, func(s *flowShop) {
			s.road(func(r *shop.RoadTest) { r.CheckedAt = s.at(2 * time.Hour) })
			mine := s.job
			s.job = s.addJob().ID
			s.fastening(func(f *shop.Fastening) { f.DoneBy, f.DoneAt = s.other, s.at(time.Hour) })
			s.job = mine
		}, set(func(s *flowShop, r *shop.RoadTest) { r.CheckedAt = s.at(0) })},
		{"road_test.check_not_passed", "bench time ended since", at, move, func(s *flowShop) {
			s.road(func(r *shop.RoadTest) { r.CheckedAt = s.at(2 * time.Hour) })
			s.bench(s.at(3*time.Hour), s.at(time.Hour))
		}, func(s *flowShop) {
			editAll(s, func(b *shop.BenchTime) { b.EndedAt = s.at(2*time.Hour - 5*time.Minute) })
		}},
		{"road_test.kind_missing", "", at, move, nothing, plain},
		{"road_test.reason_missing", "", at, move, road(func(_ *flowShop, r *shop.RoadTest) { r.Kind = shop.RunKindStandRun }),
			set(func(_ *flowShop, r *shop.RoadTest) { r.InsteadBecause = "ice" })},
		{"road_test.rider_not_licensed", "run out", at, move, func(s *flowShop) { s.licence("2026-03-01"); plain(s) }, func(s *flowShop) { s.licence("2026-03-02") }},
		{"road_test.rider_not_licensed", "does not ride", at, move, road(func(s *flowShop, r *shop.RoadTest) { r.RiderID = s.other }),
			set(func(s *flowShop, r *shop.RoadTest) { r.RiderID = s.who.StaffID })},
		{"road_test.rider_not_insured", "", at, move, road(func(s *flowShop, r *shop.RoadTest) { r.RiderID = s.other }),
			set(func(s *flowShop, r *shop.RoadTest) { r.RiderID = s.who.StaffID })},
		{"road_test.leave_missing", "", at, move, func(s *flowShop) { s.intake(func(i *shop.IntakeFacts) { i.LeaveToRide = shop.YesNoNo }) },
			func(s *flowShop) { s.setIntake(func(i *shop.IntakeFacts) { i.LeaveToRide = shop.YesNoYes }) }},
		{"road_test.distance_missing", "", at, move, road(func(_ *flowShop, r *shop.RoadTest) { r.OdometerOut = shop.Quantity{} }),
			set(func(_ *flowShop, r *shop.RoadTest) { r.OdometerOut = km("1") })},
		{"road_test.kind_missing", "struck does not count", at, move, road(func(s *flowShop, r *shop.RoadTest) { r.StruckAt, r.StruckReason = s.at(0), "wrong job" }), plain},
	}
}

func leavingCases() []gateCase {
	const at, move = shop.StageRelease, flow.Close
	over := func(fill func(*shop.HandOver)) func(*flowShop) { return func(s *flowShop) { s.handOver(fill) } }
	say := func(fill func(*shop.HandOver)) func(*flowShop) { return func(s *flowShop) { editAll(s, fill) } }
	empty := over(func(h *shop.HandOver) { h.OldParts = shop.OldPartsDoneNoneReplaced })
	job := func(fill func(*shop.Job)) func(*flowShop) { return func(s *flowShop) { s.setJob(fill) } }
	advise := func(kind shop.AdviceKind, due shop.Date) func(*flowShop) {
		return func(s *flowShop) {
			s.insert(&shop.Advice{ID: shop.AdviceID(s.src.ID()), OfJob: s.of(), Origin: s.made(), Kind: kind, Words: "look again", DueOn: due})
		}
	}
	withdrawal := func(s *flowShop) {
		s.insert(&shop.Withdrawal{ID: s.job, OfJob: s.of(), Origin: s.made(), Reason: "sold it", MachineState: shop.MachineStateInBoxes})
	}
	replaced := func(s *flowShop) {
		s.intake(func(i *shop.IntakeFacts) { i.OldParts = shop.OldPartsReturn })
		s.line(func(l *shop.Line) { l.Kind, l.State = shop.LineKindPart, shop.LineStateDone })
		s.handOver(func(h *shop.HandOver) { h.OldParts = shop.OldPartsDoneDisposed })
	}
	return []gateCase{
		{"release.outcome_missing", "", shop.StageRoadTest, flow.ToRelease, func(s *flowShop) { s.road(func(*shop.RoadTest) {}) },
			all(func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeOk })},
		{"release.outcome_missing", "the run before this one says nothing", shop.StageRoadTest, flow.ToRelease, func(s *flowShop) {
			s.road(func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeOk })
			s.clock.Advance(time.Minute)
			s.setJob(func(j *shop.Job) { j.StageSince = s.clock.Now() })
		}, all(func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeOk })},
		{"release.fault_open", "", shop.StageRoadTest, flow.ToRelease, func(s *flowShop) {
			s.road(func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeFault })
		}, func(s *flowShop) {
			f := s.finding(func(*shop.Finding) {})
			editAll(s, func(r *shop.RoadTest) { r.FaultFindingID = f })
		}},
		{"release.complaint_not_retried", "", shop.StageRoadTest, flow.ToRelease,
			func(s *flowShop) { s.complaint(func(c *shop.Complaint) { c.Again = shop.AgainNotRidden }) },
			func(s *flowShop) { s.setComplaints(func(c *shop.Complaint) { c.AgainNote = "stand run only" }) }},
		{"release.debris_not_clear", "falling", shop.StageRoadTest, flow.ToRelease, func(s *flowShop) {
			job(func(j *shop.Job) { j.DebrisInQuestion = true })(s)
			s.debris(func(d *shop.DebrisCheck) { d.Amount, d.Falling, d.CoarseNew = shop.DebrisAmountFuzz, true, true })
		}, func(s *flowShop) {
			s.clock.Advance(time.Second)
			s.debris(func(d *shop.DebrisCheck) { d.Amount, d.Falling = shop.DebrisAmountFuzz, true })
		}},
		{"release.debris_not_clear", "more than before is not falling", shop.StageRoadTest, flow.ToRelease, func(s *flowShop) {
			job(func(j *shop.Job) { j.DebrisInQuestion = true })(s)
			s.debris(func(d *shop.DebrisCheck) { d.Amount = shop.DebrisAmountFuzz })
			s.clock.Advance(time.Second)
			s.debris(func(d *shop.DebrisCheck) { d.Amount, d.Falling = shop.DebrisAmountFlakes, true })
		}, all(func(d *shop.DebrisCheck) { d.NextOn = "2026-04-01" })},
		{"release.not_run_reason_missing", "", shop.StageRepair, flow.LeaveNotRun, job(func(j *shop.Job) { j.NotRunState = shop.NotRunStateInBoxes }),
			job(func(j *shop.Job) { j.NotRunBecause = "no parts to be had" })},
		{"release.not_run_state_missing", "", shop.StageRepair, flow.LeaveNotRun, job(func(j *shop.Job) { j.NotRunBecause = "no parts" }),
			job(func(j *shop.Job) { j.NotRunState = shop.NotRunStateInBoxes })},
		{"closed.hold_point_open", "", at, move, func(s *flowShop) { s.holdPoint() },
			func(s *flowShop) {
				editAll(s, func(h *shop.HoldPoint) { h.PassedBy, h.PassedAt = s.who.StaffID, s.at(0) })
			}},
		{"closed.line_open", "", at, move, func(s *flowShop) { s.line(func(l *shop.Line) { l.State, l.AfterRide = shop.LineStateAgreed, true }) },
			all(func(l *shop.Line) { l.State = shop.LineStateDone })},
		{"closed.bench_time_running", "", at, move, func(s *flowShop) { s.bench(s.at(time.Hour), nil) },
			func(s *flowShop) { editAll(s, func(b *shop.BenchTime) { b.EndedAt = s.at(0) }) }},
		{"closed.old_parts_open", "otherwise than wanted, and why", at, move, replaced, say(func(h *shop.HandOver) { h.OldPartsNote = "the customer changed his mind" })},
		{"closed.old_parts_open", "as wanted", at, move, replaced, say(func(h *shop.HandOver) { h.OldParts = shop.OldPartsDoneReturned })},
		{"closed.evidence_not_kept", "", at, move, func(s *flowShop) { job(func(j *shop.Job) { j.ClaimPossible = true })(s); empty(s) },
			say(func(h *shop.HandOver) { h.EvidenceUntil = "2026-06-01" })},
		{"closed.advice_missing", "given", at, move, empty, say(func(h *shop.HandOver) { h.AdviceGiven = true })},
		{"closed.advice_missing", "written", at, move, empty, advise(shop.AdviceKindAdvice, "")},
		{"closed.recheck_undated", "advice", at, move, advise(shop.AdviceKindRecheck, ""), all(func(a *shop.Advice) { a.DueDistance = "500 km" })},
		{"closed.recheck_undated", "watched part", at, move, func(s *flowShop) {
			s.finding(func(f *shop.Finding) { f.Advised = shop.AdvisedWatch })
			empty(s)
		}, say(func(h *shop.HandOver) { h.RecheckOn = "2026-06-01" })},
		{"closed.still_open_unwritten", "", at, move, empty, say(func(h *shop.HandOver) { h.StillOpen = "fork seals weep" })},
		{"closed.still_open_unwritten", "as advice", at, move, empty, advise(shop.AdviceKindStillOpen, "")},
		{"closed.still_open_unwritten", "mended", at, move, func(s *flowShop) {
			worn := s.finding(func(f *shop.Finding) { f.LookedAtGrade, f.EffectiveGrade = grade(3), grade(3) })
			s.line(func(l *shop.Line) { l.State, l.FindingID = shop.LineStateAgreed, worn })
			s.road(func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeOk })
			empty(s)
		}, all(func(l *shop.Line) { l.State = shop.LineStateDone })},
		{"closed.self_check_not_told", "", at, move, func(s *flowShop) {
			s.fastening(func(f *shop.Fastening) {
				f.DoneBy, f.DoneAt, f.CheckedBy, f.CheckedAt, f.SelfReinspection = s.who.StaffID, s.at(time.Hour), s.who.StaffID, s.at(0), true
			})
			empty(s)
		}, say(func(h *shop.HandOver) { h.SelfReinspectionTold = true })},
		{"closed.not_run_warning_missing", "", at, move, func(s *flowShop) { job(func(j *shop.Job) { j.NotRun = true })(s); empty(s) },
			say(func(h *shop.HandOver) { h.DoNotStartTold = true })},
		{"closed.must_be_carried", "", at, move, func(s *flowShop) { job(func(j *shop.Job) { j.NotRun = true })(s); empty(s) },
			say(func(h *shop.HandOver) { h.Transport = shop.TransportVan })},
		{"closed.handed_to_missing", "", at, move, empty, say(func(h *shop.HandOver) { h.HandedTo = "the owner" })},
		{"withdrawn.reason_missing", "", shop.StageRepair, flow.Withdraw, nothing, withdrawal},
		{"withdrawn.state_missing", "", shop.StageRepair, flow.Withdraw, nothing, withdrawal},
		{"withdrawn.warning_missing", "", shop.StageRepair, flow.Withdraw, func(s *flowShop) { job(func(j *shop.Job) { j.OpenedUp = true })(s); empty(s) },
			say(func(h *shop.HandOver) { h.DoNotStartTold = true })},
		{"withdrawn.warning_missing", "a run before it came apart again does not count", shop.StageTeardown, flow.Withdraw, func(s *flowShop) {
			job(func(j *shop.Job) { j.OpenedUp = true })(s)
			s.road(func(r *shop.RoadTest) { r.Outcome = shop.RideOutcomeOk })
			empty(s)
		}, say(func(h *shop.HandOver) { h.DoNotStartTold = true })},
		{"withdrawn.bench_time_running", "", shop.StageRepair, flow.Withdraw, func(s *flowShop) { s.bench(s.at(time.Hour), nil) },
			func(s *flowShop) { editAll(s, func(b *shop.BenchTime) { b.EndedAt = s.at(0) }) }},
	}
}
