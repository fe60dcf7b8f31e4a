package app

import (
	"context"
	"fmt"
	"slices"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// paperEdge is the long edge of a photo on paper, in pixels: 105 mm at 300
// dots to the inch.
const paperEdge = 1240

// findingsOnPaper is what PrintFindings reads before the photos are drawn.
type findingsOnPaper struct {
	sheet  FindingsSheet
	photos [][]shop.Photo // of each finding
}

// PrintFindings prints what was found on a job, for the customer's file: the
// first cause first, each part with its condition, its measurements with their
// uncertainty, limits and source, and those photos that were chosen for the
// customer, their marks drawn. A photo that is gone is told, not left out.
func (a *App) PrintFindings(ctx context.Context, who auth.Principal, id shop.JobID, paper string) (file []byte, err error) {
	if err := a.noPapers(); err != nil {
		return nil, err
	}
	var read findingsOnPaper
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		read, err = a.findingsSheet(tx, id)
		return err
	})
	if err != nil {
		return nil, err
	}
	for i, photos := range read.photos {
		for _, p := range photos {
			drawn, err := a.photoOnPaper(ctx, who.ShopID, p)
			if err != nil {
				return nil, err
			}
			read.sheet.Findings[i].Photos = append(read.sheet.Findings[i].Photos, drawn)
		}
	}
	return a.Papers.FindingsSheet(paper, read.sheet)
}

// photoOnPaper draws a photo, or says why there is none.
func (a *App) photoOnPaper(ctx context.Context, scope shop.ShopID, p shop.Photo) (SheetPhoto, error) {
	out := SheetPhoto{Caption: p.Shows}
	drawn, err := a.PhotoForPaper(ctx, scope, p.ID, paperEdge)
	switch {
	case err == nil:
		out.Drawn, out.Notes = drawn.DrawnPhoto, drawn.Notes
	case p.ErasedAt != nil:
		out.Missing = "This picture was erased."
	case fault.Of(err) == fault.Internal, ctx.Err() != nil:
		return out, err
	default:
		out.Missing = "This picture cannot be shown: its file is missing or damaged."
	}
	return out, nil
}

func (a *App) findingsSheet(tx Tx, id shop.JobID) (out findingsOnPaper, err error) {
	job, err := load[shop.Job](tx, string(id))
	if err != nil {
		return out, err
	}
	v, err := a.visitOnPaper(tx, job.WorkOrderID)
	if err != nil {
		return out, err
	}
	out.sheet = FindingsSheet{From: fromWords(nil, v.shop), Order: v.order.Number, Machine: machineLong(v.machine), Job: job.Title, AsOf: v.asOf, State: v.state, NotToRun: job.NotRun}
	if err := out.sheet.concerns(tx, job); err != nil {
		return out, err
	}
	rows, err := every[shop.Finding](tx, By{"job_id": job.ID})
	if err != nil {
		return out, err
	}
	rows = unstruck(rows)
	slices.SortStableFunc(rows, func(x, y shop.Finding) int { return weightOf(y) - weightOf(x) })
	measured, err := a.measuredWords(tx, job)
	if err != nil {
		return out, err
	}
	photos, err := chosenPhotos(tx, job)
	if err != nil {
		return out, err
	}
	for _, f := range rows {
		if f.NotLookedBecause != "" {
			out.sheet.NotLooked = append(out.sheet.NotLooked, BenchLine{Words: f.Called(), Small: f.NotLookedBecause})
			continue
		}
		if f.SafeToRide == shop.YesNoNo {
			out.sheet.Unsafe = append(out.sheet.Unsafe, f.Called())
		}
		facts := append(findingWords(f, rows), measured[f.ID]...)
		if f.EvidenceBecause != "" && len(measured[f.ID])+len(photos[f.ID]) == 0 {
			facts = append(facts, WordRow{Name: "No photo, no reading", Words: f.EvidenceBecause})
		}
		out.sheet.Findings = append(out.sheet.Findings, SheetFinding{Called: f.Called(), Grade: f.EffectiveGrade, Rows: facts})
		out.photos = append(out.photos, photos[f.ID])
	}
	return out, nil
}

// weightOf puts the first cause before everything, then the worst; what has no
// grade comes last.
func weightOf(f shop.Finding) int {
	switch {
	case f.FirstCause:
		return 10
	case f.EffectiveGrade == nil:
		return -1
	}
	return int(*f.EffectiveGrade)
}

func (s *FindingsSheet) concerns(tx Tx, job shop.Job) error {
	rows, err := every[shop.Complaint](tx, By{"job_id": job.ID})
	for _, c := range unstruck(rows) {
		s.Concerns = append(s.Concerns, BenchLine{Words: c.Words, Small: joined(" ", answerPaper(c.Answer), c.AnswerNote)})
	}
	return err
}

// answerPaper says what the shop answers to a complaint.
func answerPaper(a shop.Answer) string {
	switch a {
	case shop.AnswerFinding:
		return "We found something; it stands below."
	case shop.AnswerRequest:
		return "This is work you asked for."
	case shop.AnswerNormalForMachine:
		return "This is normal for this machine."
	case shop.AnswerNotReproduced:
		return "We tried, and it did not show up."
	case shop.AnswerNotLookedInto:
		return "Not looked into, at your wish."
	case shop.AnswerNotExplained:
		return "We could not explain this."
	}
	return "Not answered yet."
}

// safePaper says whether a part is safe to ride with.
func safePaper(y shop.YesNo) string {
	switch y {
	case shop.YesNoYes:
		return "yes"
	case shop.YesNoNo:
		return "NO: do not ride"
	}
	return "not known: ask before you ride"
}

// findingWords says what was found of a part.
func findingWords(f shop.Finding, all []shop.Finding) []WordRow {
	var s WordSection
	s.say("How it failed", plainWord(string(f.DamageMode)))
	s.say("Cause", yesNoWords(f.FirstCause, "the trouble began here", ""))
	for _, cause := range all {
		if f.CausedByID != "" && cause.ID == f.CausedByID {
			s.say("Caused by", cause.Called())
		}
	}
	s.say("Safe to ride with", safePaper(f.SafeToRide))
	s.say("Our advice", joined(", ", plainWord(string(f.Advised)), f.WatchAt))
	s.say("Remark", f.Note)
	return s.Rows
}

// measuredWords says what was measured, by finding.
func (a *App) measuredWords(tx Tx, job shop.Job) (map[shop.FindingID][]WordRow, error) {
	m, err := a.mapOf(tx, job)
	if err != nil {
		return nil, err
	}
	sheet, err := sheetOf(tx, job)
	if err != nil {
		return nil, err
	}
	rows, err := every[shop.Measurement](tx, By{"job_id": job.ID})
	if err != nil {
		return nil, err
	}
	out := map[shop.FindingID][]WordRow{}
	for _, r := range unstruck(rows) {
		var s WordSection
		s.say("Measured", before(pointName(m, r.Point)+": ", resultWords(r)))
		s.say("Limits", limitWords(sheet, r))
		s.say("What it says", verdictWords(r))
		out[r.FindingID] = append(out[r.FindingID], s.Rows...)
	}
	return out, nil
}

// pointName is what people call a measured point.
func pointName(m *layout.Compiled, key string) string {
	if p, err := pointOf(m, key); err == nil && p != nil {
		return p.Name
	}
	return orSaid(plainWord(key), "value")
}

// resultWords is a value with its uncertainty.
func resultWords(r shop.Measurement) string {
	value, err := quantityOf(r.Result)
	if err != nil {
		return "no data"
	}
	words := value.String()
	if u, err := quantityOf(r.Uncertainty); err == nil && !r.Uncertainty.IsZero() {
		words += " ± " + u.String() + " (k = 2, about 95 %)"
	} else {
		words += ", its uncertainty is not known"
	}
	return words + yesNoWords(r.Readings.FromPhoto, ", taken off a photo", "")
}

// limitWords are the limits of the sheet that the job works by, and their source.
func limitWords(sheet *layout.Sheet, r shop.Measurement) string {
	if sheet == nil || r.LimitSource == "" {
		return "none on record"
	}
	limit, ok := sheet.Limit(layout.Key(r.Point))
	if !ok {
		return "none on record"
	}
	return joined("; ", before("in service ", rangeWords(limit.Service)), before("new ", rangeWords(limit.New)), "source: "+r.LimitSource)
}

// verdictWords says what a measurement came to.
func verdictWords(r shop.Measurement) string {
	words := map[string]string{"within": "proven within its limits", "beyond": "proven beyond a limit",
		"undecided": "too close to a limit to be told: measure again", "no_limit": "there is no limit with a source to judge it by"}[r.Verdict]
	if r.Grade != nil {
		words = joined(", ", words, fmt.Sprintf("grade %d", *r.Grade))
	}
	return joined("; ", words, yesNoWords(r.Indicative, "indicative only, it decides no grade", ""))
}
