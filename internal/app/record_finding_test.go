package app_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func recGrade(n int64) *int64 { return &n }

// inJob runs fn with another job under test.
func (h *recShop) inJob(id shop.JobID, fn func()) {
	was := h.job
	h.job = id
	fn()
	h.job = was
}

func TestComplaintAnswers(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	finding := recMust(h, h.tech, h.PutFinding, recFinding)
	var elsewhere shop.Finding
	h.inJob(h.sister, func() { elsewhere = recMust(h, h.tech, h.PutFinding, recFinding) })
	answer := func(id shop.FindingID) func(*shop.Complaint) {
		return func(c *shop.Complaint) { recComplaint(c); c.Answer, c.AnswerFindingID = shop.AnswerFinding, id }
	}
	_, err := recNew(h, h.tech, h.PutComplaint, answer(""))
	recRefused(t, err, fault.Meaning, "app.complaint_answer_incomplete", "/answer_finding_id")
	_, err = recNew(h, h.tech, h.PutComplaint, answer(elsewhere.ID))
	recRefused(t, err, fault.Meaning, "app.reference_unknown", "/answer_finding_id")
	_, err = recNew(h, h.tech, h.PutComplaint, answer(shop.FindingID(h.src.ID())))
	recRefused(t, err, fault.Meaning, "app.reference_unknown", "/answer_finding_id")
	row := recMust(h, h.tech, h.PutComplaint, answer(finding.ID))

	if _, err := h.StrikeFinding(t.Context(), h.tech, recAt(finding), "mistaken"); err != nil {
		t.Fatal(err)
	}
	if _, err := recEdit(h, h.tech, h.PutComplaint, row, func(c *shop.Complaint) { c.Place = "left side" }); err != nil {
		t.Errorf("a reference struck since keeps the rest from changing: %v", err)
	}
	_, err = recNew(h, h.tech, h.PutComplaint, answer(finding.ID))
	recRefused(t, err, fault.Meaning, "app.reference_struck", "/answer_finding_id")
}

func TestFindingGrades(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	for _, c := range []struct {
		name             string
		looked, measured *int64
		want             *int64
	}{
		{"neither", nil, nil, nil},
		{"by eye", recGrade(2), nil, recGrade(2)},
		{"by gauge", nil, recGrade(3), recGrade(3)},
		{"the worse by gauge", recGrade(1), recGrade(4), recGrade(4)},
		{"the worse by eye", recGrade(4), recGrade(0), recGrade(4)},
	} {
		row := recMust(h, h.tech, h.PutFinding, recFinding)
		recSet(h, row.ID, func(f *shop.Finding) { f.MeasuredGrade = c.measured })
		row = recRow[shop.Finding](h, row.ID)
		row, err := recEdit(h, h.tech, h.PutFinding, row, func(f *shop.Finding) { f.LookedAtGrade = c.looked })
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c.want, row.EffectiveGrade); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
		if diff := cmp.Diff(c.measured, row.MeasuredGrade); diff != "" {
			t.Errorf("%s: the measured grade changed: %s", c.name, diff)
		}
	}
	_, err := recNew(h, h.tech, h.PutFinding, func(f *shop.Finding) { recFinding(f); f.LookedAtGrade = recGrade(5) })
	recRefused(t, err, fault.Meaning, "app.finding_grade_unknown", "/looked_at_grade")
}

func TestFindingDanger(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	danger := func(safe shop.YesNo, outcome shop.DangerOutcome, warning, witness string) func(*shop.Finding) {
		return func(f *shop.Finding) {
			recFinding(f)
			f.SafeToRide, f.DangerOutcome, f.DangerWarning, f.DangerWitness = safe, outcome, warning, witness
		}
	}
	_, err := recNew(h, h.tech, h.PutFinding, danger(shop.YesNoYes, shop.DangerOutcomeRepaired, "", ""))
	recRefused(t, err, fault.Meaning, "app.finding_not_dangerous", "/danger_outcome")
	_, err = recNew(h, h.tech, h.PutFinding, danger(shop.YesNoNo, shop.DangerOutcomeOwnerInsists, "", " "))
	recRefused(t, err, fault.Meaning, "app.finding_warning_incomplete", "/danger_warning", "/danger_witness")
	_, err = recNew(h, h.tech, h.PutFinding, danger(shop.YesNoNo, shop.DangerOutcomeOwnerInsists, "The wheel can lock.", ""))
	recRefused(t, err, fault.Meaning, "app.finding_warning_incomplete", "/danger_witness")

	row := recMust(h, h.tech, h.PutFinding, danger(shop.YesNoNo, shop.DangerOutcomeOwnerInsists, "The wheel can lock.", "Sue"))
	said := h.clock.Now()
	if row.DangerAt == nil || !row.DangerAt.Equal(said) {
		t.Fatalf("said at %v, want %v", row.DangerAt, said)
	}
	h.clock.Advance(60e9)
	row, err = recEdit(h, h.tech, h.PutFinding, row, func(f *shop.Finding) { f.Note = "photo taken" })
	if err != nil || !row.DangerAt.Equal(said) {
		t.Errorf("another change moved the time to %v, %v", row.DangerAt, err)
	}
	row, err = recEdit(h, h.tech, h.PutFinding, row, func(f *shop.Finding) { f.DangerWarning = "The rear wheel can lock." })
	if err != nil || !row.DangerAt.Equal(h.clock.Now()) {
		t.Errorf("a new warning is of %v, %v", row.DangerAt, err)
	}
	row, err = recEdit(h, h.tech, h.PutFinding, row, func(f *shop.Finding) { f.DangerOutcome = shop.DangerOutcomeUnset })
	if err != nil || row.DangerAt != nil {
		t.Errorf("taken back, yet of %v, %v", row.DangerAt, err)
	}
}

func TestFindingCauses(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	caused := func(by shop.FindingID) func(*shop.Finding) {
		return func(f *shop.Finding) { recFinding(f); f.CausedByID = by }
	}
	first := recMust(h, h.tech, h.PutFinding, recFinding)
	next := recMust(h, h.tech, h.PutFinding, caused(first.ID))
	last := recMust(h, h.tech, h.PutFinding, caused(next.ID))
	_, err := recEdit(h, h.tech, h.PutFinding, first, caused(last.ID))
	recRefused(t, err, fault.Meaning, "app.finding_causes_itself", "/caused_by_id")
	_, err = recEdit(h, h.tech, h.PutFinding, first, caused(first.ID))
	recRefused(t, err, fault.Meaning, "app.finding_causes_itself", "/caused_by_id")

	var sister, foreign shop.Finding
	h.inJob(h.sister, func() { sister = recMust(h, h.tech, h.PutFinding, recFinding) })
	h.inJob(h.foreignJob, func() { foreign = recMust(h, h.tech, h.PutFinding, recFinding) })
	if _, err := recNew(h, h.tech, h.PutFinding, caused(sister.ID)); err != nil {
		t.Errorf("caused by a finding of the same visit: %v", err)
	}
	_, err = recNew(h, h.tech, h.PutFinding, caused(foreign.ID))
	recRefused(t, err, fault.Meaning, "app.reference_unknown", "/caused_by_id")

	complaint := recMust(h, h.tech, h.PutComplaint, recComplaint)
	h.inJob(h.sister, func() {
		_, err = recNew(h, h.tech, h.PutFinding, func(f *shop.Finding) { recFinding(f); f.ComplaintID = complaint.ID })
	})
	recRefused(t, err, fault.Meaning, "app.reference_unknown", "/complaint_id")
}

func TestOneFirstCause(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	mark := func(f *shop.Finding) { recFinding(f); f.FirstCause = true }
	first := recMust(h, h.tech, h.PutFinding, mark)
	_, err := recNew(h, h.tech, h.PutFinding, mark)
	recRefused(t, err, fault.Meaning, "app.finding_first_cause_taken", "/first_cause")
	h.inJob(h.sister, func() { recMust(h, h.tech, h.PutFinding, mark) })
	first, err = recEdit(h, h.tech, h.PutFinding, first, func(f *shop.Finding) { f.Note = "sure" })
	if err != nil {
		t.Errorf("changing the first cause itself: %v", err)
	}
	if _, err := h.StrikeFinding(t.Context(), h.tech, recAt(first), "no"); err != nil {
		t.Fatal(err)
	}
	recMust(h, h.tech, h.PutFinding, mark)
}

func TestFindingFlagsOffer(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	line := recMust(h, h.advisor, h.PutLine, recLine)
	_, offer := h.offer(line.ID)
	flagged := func(step string) {
		t.Helper()
		row := recRow[shop.Offer](h, offer)
		if !row.NewFindings || row.State != shop.OfferStateOpen {
			t.Errorf("%s: new findings %v, state %s", step, row.NewFindings, row.State)
		}
		recSet(h, offer, func(o *shop.Offer) { o.NewFindings = false })
	}
	finding := recMust(h, h.tech, h.PutFinding, recFinding)
	flagged("a new one")
	finding, err := recEdit(h, h.tech, h.PutFinding, finding, func(f *shop.Finding) { f.LookedAtGrade = recGrade(4) })
	if err != nil {
		t.Fatal(err)
	}
	flagged("a changed one")
	if _, err := h.StrikeFinding(t.Context(), h.tech, recAt(finding), "no"); err != nil {
		t.Fatal(err)
	}
	flagged("a struck one")
	h.inJob(h.sister, func() { recMust(h, h.tech, h.PutFinding, recFinding) })
	if recRow[shop.Offer](h, offer).NewFindings {
		t.Error("a finding of another job flags the offer")
	}
}

func TestTagNumbers(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	tag := func(t *shop.Tag) { t.Kind, t.Holds = shop.TagKindFasteners, "cover bolts" }
	first := recMust(h, h.tech, h.PutTag, tag)
	var second, foreign shop.Tag
	h.inJob(h.sister, func() { second = recMust(h, h.tech, h.PutTag, tag) })
	h.inJob(h.foreignJob, func() { foreign = recMust(h, h.tech, h.PutTag, tag) })
	if diff := cmp.Diff([]int64{1, 2, 1}, []int64{first.Number, second.Number, foreign.Number}); diff != "" {
		t.Error(diff)
	}
	if first.Code == second.Code || second.Code == foreign.Code {
		t.Error("one code on two tags")
	}
	for _, row := range []shop.Tag{first, second, foreign} {
		if _, err := shop.ParseTagCode(row.Code); err != nil {
			t.Errorf("code %q: %v", row.Code, err)
		}
	}
	changed, err := recEdit(h, h.tech, h.PutTag, first, func(t *shop.Tag) { t.LiesAt = "shelf 3" })
	if err != nil || changed.Number != first.Number || changed.Code != first.Code {
		t.Errorf("a change renumbers: %+v, %v", changed, err)
	}
	if _, err := h.StrikeTag(t.Context(), h.tech, recAt(changed), "torn"); err != nil {
		t.Fatal(err)
	}
	if next := recMust(h, h.tech, h.PutTag, tag); next.Number != 3 {
		t.Errorf("the next number is %d, want 3", next.Number)
	}
}

func TestAsFoundSaysSomething(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	_, err := recNew(h, h.tech, h.PutAsFound, func(a *shop.AsFound) { a.What = "hot oil pressure" })
	recRefused(t, err, fault.Meaning, "app.as_found_empty", "/reading")
	for _, fill := range []func(*shop.AsFound){
		func(a *shop.AsFound) { a.Reading = recQuantity("3.2", "bar") },
		func(a *shop.AsFound) { a.Mark = "marks in line" },
		func(a *shop.AsFound) { a.WaivedBecause = "does not turn" },
	} {
		recMust(h, h.tech, h.PutAsFound, func(a *shop.AsFound) { a.What = "hot oil pressure"; fill(a) })
	}
	rows, err := app.RecordsOf[shop.AsFound](t.Context(), h.App, h.tech, h.job, app.Page{})
	if err != nil || len(rows) != 3 {
		t.Errorf("%d stored, %v", len(rows), err)
	}
}
