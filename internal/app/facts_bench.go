package app

import (
	"fmt"

	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

func (d *dossier) intakeOf(j shop.Job) flow.IntakeFacts {
	order := d.orders[j.WorkOrderID]
	in := d.intake[j.WorkOrderID]
	return flow.IntakeFacts{
		Customer:            order.CustomerID != "",
		Machine:             order.MachineID != "",
		Odometer:            !in.Odometer.IsZero(),
		OdometerNotReadable: in.OdometerNotReadable,
		Given:               intakeGiven(in),
	}
}

// intakeGiven reports that somebody went through the intake facts: one of
// them, beside the odometer, says something. "Not known" and zero are what
// an untouched form says.
func intakeGiven(in shop.IntakeFacts) bool {
	leave := in.LeaveToRide == shop.YesNoYes || in.LeaveToRide == shop.YesNoNo
	return leave || in.Keys > 0 || in.Luggage != "" || in.Fuel != "" || in.Damage != ""
}

// complaintsOf gives the complaints that stand. A request asks for nothing
// to be explained, so it answers itself.
func (d *dossier) complaintsOf(j shop.Job) []flow.Complaint {
	standing := map[shop.FindingID]bool{}
	for _, f := range unstruck(d.findings[j.ID]) {
		standing[f.ID] = true
	}
	var out []flow.Complaint
	for _, c := range unstruck(d.complaints[j.ID]) {
		one := flow.Complaint{Row: flow.Row{ID: string(c.ID), Name: c.Words}, Answer: answerOf(c.Answer), Again: againOf(c.Again), NotTried: c.AgainNote}
		if c.Answer == shop.AnswerUnset && c.Kind == shop.JobKindRequest {
			one.Answer = flow.AnswerRequest
		}
		one.AnswerStruck = c.Answer == shop.AnswerFinding && !standing[c.AnswerFindingID]
		out = append(out, one)
	}
	return out
}

func (d *dossier) teardownOf(j shop.Job) flow.TeardownFacts {
	t := flow.TeardownFacts{
		AsFoundWaive: j.AsFoundWaived, Wanted: j.TeardownWanted,
		Opened: j.OpenedUp, NothingCameOff: j.NothingCameOff != "",
	}
	for _, a := range unstruck(d.asFound[j.ID]) {
		switch {
		case !a.Reading.IsZero() || a.Mark != "":
			t.AsFound = true
		case t.AsFoundWaive == "":
			t.AsFoundWaive = a.WaivedBecause
		}
	}
	return t
}

func (d *dossier) findingsOf(j shop.Job) []flow.Finding {
	stored, read := map[shop.FindingID]bool{}, map[shop.FindingID]bool{}
	for _, p := range unstruck(d.photos[j.ID]) {
		stored[p.FindingID] = stored[p.FindingID] || p.StoredAt != nil
	}
	for _, m := range unstruck(d.measurements[j.ID]) {
		read[m.FindingID] = true
	}
	var out []flow.Finding
	for _, f := range d.findings[j.ID] {
		one := findingFacts(f)
		one.Photo, one.Reading = stored[f.ID], read[f.ID]
		one.OpenLook = f.Advised == shop.AdvisedLookFurther || d.looksOn(f)
		d.decide(&one, f)
		if one.Settled == "" && !one.Dangerous && !one.PieceMissing && d.mended(f) {
			one.Settled = flow.SettledRepaired
		}
		out = append(out, one)
	}
	return out
}

// mended reports that work which the finding called for is done. It settles
// what is no danger; a danger is settled by a person's word alone.
func (d *dossier) mended(f shop.Finding) bool {
	for _, l := range d.lines[f.JobID] {
		if l.FindingID == f.ID && l.State == shop.LineStateDone {
			return true
		}
	}
	return false
}

// findingFacts is what a finding says by itself.
func findingFacts(f shop.Finding) flow.Finding {
	one := flow.Finding{
		Row: flow.Row{ID: string(f.ID), Name: f.Called()}, Struck: f.IsStruck(),
		Graded: f.EffectiveGrade != nil, Reason: f.EvidenceBecause,
		Broken: f.InPieces, LaidOut: f.LaidOut, PieceMissing: f.Pieces == shop.PiecesMissing,
		Dangerous: f.SafeToRide == shop.YesNoNo, Settled: settlementOf(f.DangerOutcome),
		Warning: flow.Warning{Words: f.DangerWarning != "", Time: f.DangerAt != nil, Witness: f.DangerWitness != ""},
	}
	if one.Graded {
		one.Grade = int(*f.EffectiveGrade)
	}
	return one
}

// looksOn reports that a place debris can have reached is on record beside
// the finding: that is where a missing piece is still looked for.
func (d *dossier) looksOn(f shop.Finding) bool {
	for _, other := range unstruck(d.findings[f.JobID]) {
		if other.ID != f.ID && other.ReachedByDebris {
			return true
		}
	}
	return false
}

// decide says whether a measurement decides the finding's grade, and if so
// how good the best of those that do is. A grade the eye gives as well does
// not hang on the measurement.
func (d *dossier) decide(one *flow.Finding, f shop.Finding) {
	if f.MeasuredGrade == nil || f.LookedAtGrade != nil && *f.LookedAtGrade >= *f.MeasuredGrade {
		return
	}
	one.Measured = true
	for _, m := range unstruck(d.measurements[f.JobID]) {
		if m.FindingID != f.ID || m.Grade == nil || *m.Grade != *f.MeasuredGrade {
			continue
		}
		if m.Indicative {
			one.Indicative = true
			continue
		}
		inDate, sourced := d.inDate(m), m.LimitSource != ""
		if inDate && sourced || !one.GaugeInDate && !one.LimitSourced {
			one.GaugeInDate, one.LimitSourced = inDate, sourced
		}
	}
}

// inDate reports that the gauge's calibration had not run out on the day of
// the reading. A gauge nobody named, and one without a day, are not in date.
func (d *dossier) inDate(m shop.Measurement) bool {
	due := d.gauges[m.GaugeID].CalibrationDueOn
	at := m.ReceivedAt
	if m.CapturedAt != nil && m.CapturedAt.Before(at) {
		at = *m.CapturedAt
	}
	return due != "" && shop.DateOf(at, d.zone) < due
}

func (d *dossier) reachedOf(j shop.Job) []flow.Reached {
	var out []flow.Reached
	for _, f := range unstruck(d.findings[j.ID]) {
		if f.ReachedByDebris {
			out = append(out, flow.Reached{Row: flow.Row{ID: string(f.ID), Name: f.Called()},
				LookedAt: f.LookedAtGrade != nil || f.MeasuredGrade != nil, Disclosed: f.NotLookedBecause})
		}
	}
	return append(out, d.traced(j)...)
}

func (d *dossier) firstCauseOf(j shop.Job) flow.FirstCause {
	cause := flow.FirstCause{Undetermined: j.CauseUndetermined}
	for _, f := range unstruck(d.findings[j.ID]) {
		cause.Marked = cause.Marked || f.FirstCause
	}
	return cause
}

func (d *dossier) tagsOf(j shop.Job) []flow.Tag {
	var out []flow.Tag
	for _, t := range d.tags[j.ID] {
		one := flow.Tag{Row: flow.Row{ID: string(t.ID), Name: tagName(t)}, Struck: t.IsStruck()}
		one.Accounted, one.OffOnPurpose = tagResult(t.Outcome)
		out = append(out, one)
	}
	return out
}

func tagName(t shop.Tag) string {
	if t.Holds == "" {
		return fmt.Sprintf("tag %d", t.Number)
	}
	return fmt.Sprintf("tag %d (%s)", t.Number, t.Holds)
}

func (d *dossier) linesOf(j shop.Job) []flow.Line {
	awaited := map[shop.LineID]bool{}
	for _, p := range unstruck(d.partOrders[j.ID]) {
		awaited[p.LineID] = awaited[p.LineID] || p.ArrivedOn == ""
	}
	var out []flow.Line
	for _, l := range d.lines[j.ID] {
		one := flow.Line{Row: flow.Row{ID: string(l.ID), Name: l.Description}, State: lineStateOf(l.State),
			AfterRide: l.AfterRide, Worked: l.DoneAt != nil, Consented: l.ConsentID != "",
			NeedsPart: awaited[l.ID], Outside: l.Kind == shop.LineKindSublet}
		if l.IsStruck() {
			one.State = flow.LineStruck
		}
		out = append(out, one)
	}
	return out
}

func (d *dossier) holdOf(j shop.Job) flow.Hold {
	for _, h := range d.holds[j.ID] {
		if h.LiftedAt == nil {
			return flow.Hold{Active: true, Kind: holdKindOf(h.Reason)}
		}
	}
	return flow.Hold{}
}

// running gives the clocks still running on the job, by who runs them.
func (d *dossier) running(j shop.Job) []flow.Row {
	var out []flow.Row
	for _, b := range unstruck(d.benchTimes[j.ID]) {
		if b.EndedAt == nil {
			out = append(out, flow.Row{ID: string(b.ID), Name: d.staff[b.StaffID].Name})
		}
	}
	return out
}
