package flow_test

import (
	"slices"

	"benchtag/internal/flow"
)

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
