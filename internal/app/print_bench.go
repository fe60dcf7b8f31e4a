package app

import (
	"cmp"
	"slices"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// fill reads the records of a job onto its sheet.
func (s *BenchSheet) fill(tx Tx, job shop.Job) error {
	of := By{"job_id": job.ID}
	complaints, err := every[shop.Complaint](tx, of)
	if err != nil {
		return err
	}
	for _, c := range unstruck(complaints) {
		s.Complaints = append(s.Complaints, BenchLine{Words: c.Words, Small: joined("; ", c.Place, c.Circumstances, before("since ", c.Since), c.HowOften)})
	}
	findings, err := every[shop.Finding](tx, of)
	if err != nil {
		return err
	}
	for _, f := range unstruck(findings) {
		s.Findings = append(s.Findings, benchFinding(f))
	}
	tags, err := every[shop.Tag](tx, of)
	if err != nil {
		return err
	}
	for _, t := range unstruck(tags) {
		s.Tags = append(s.Tags, benchTag(t))
	}
	slices.SortFunc(s.Tags, func(x, y BenchTag) int { return cmp.Compare(x.Number, y.Number) })
	return s.fillJoints(tx, of)
}

func benchFinding(f shop.Finding) BenchFinding {
	words := joined("; ", plainWord(string(f.DamageMode)), plainWord(string(f.Advised)), before("not looked at: ", f.NotLookedBecause))
	if f.FirstCause {
		words = joined("; ", words, "first cause")
	}
	return BenchFinding{Called: f.Called(), Grade: f.EffectiveGrade, Words: words, Note: f.Note}
}

func benchTag(t shop.Tag) BenchTag {
	out := BenchTag{Number: t.Number, Code: shop.TagCode(t.Code), Holds: t.Holds, Open: t.Outcome == shop.TagOutcomeUnset, OnLabel: t.LabelCode}
	switch {
	case !out.Open:
		out.Where = "It was recorded as " + outcomeWords(t.Outcome)
	case t.LiesAt != "":
		out.Where = "Lies at: " + t.LiesAt
	default:
		out.Where = "Nobody wrote where it lies"
	}
	return out
}

// plainWord writes a stored word as people say it.
func plainWord(word string) string { return strings.ReplaceAll(word, "_", " ") }

func before(label, words string) string {
	if words == "" {
		return ""
	}
	return label + words
}

// joined puts together what there is.
func joined(between string, words ...string) string {
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), between)
}

// fillJoints puts the joints under the hold points they must be checked
// before, those of none last.
func (s *BenchSheet) fillJoints(tx Tx, of By) error {
	points, err := every[shop.HoldPoint](tx, of)
	if err != nil {
		return err
	}
	joints, err := every[shop.Fastening](tx, of)
	if err != nil {
		return err
	}
	place := map[shop.HoldPointID]int{}
	for _, p := range unstruck(points) {
		place[p.ID] = len(s.Joints)
		s.Joints = append(s.Joints, BenchJoints{Before: strings.TrimPrefix(p.Before, "before "), Passed: p.PassedAt != nil})
	}
	var loose []BenchJoint
	for _, f := range unstruck(joints) {
		if at, ok := place[f.HoldPointID]; ok {
			s.Joints[at].Joints = append(s.Joints[at].Joints, benchJoint(f))
		} else {
			loose = append(loose, benchJoint(f))
		}
	}
	if len(loose) > 0 {
		s.Joints = append(s.Joints, BenchJoints{Joints: loose})
	}
	return nil
}

func benchJoint(f shop.Fastening) BenchJoint {
	out := BenchJoint{Words: joined(", ", f.Component, f.Joint), Source: f.Source, Critical: f.SafetyClass == shop.SafetyClassCritical,
		Done: f.DoneAt != nil && f.RedoBecause == "", Checked: f.CheckedAt != nil && f.RedoBecause == ""}
	figure := f.Target.Entered
	if figure == "" && !f.Target.IsZero() {
		figure = f.Target.Value + " " + f.Target.Unit
	}
	if figure == "" && f.Angle == "" && f.Stages == "" {
		return out
	}
	fresh := ""
	if f.NewFastener == shop.NewFastenerYes {
		fresh = "new bolt or nut"
	}
	out.Target = joined(", ", figure, f.Stages, before("angle ", f.Angle), plainWord(string(f.JointCondition)), fresh)
	return out
}

// benchSteps lists what was opened by the machine map, last opened first,
// each with what to beware of. A job without a map has none.
func (a *App) benchSteps(tx Tx, job shop.Job, s *BenchSheet) error {
	if len(job.StepsDone) == 0 {
		return nil
	}
	m, err := a.needMap(tx, job)
	if fault.Is(err, fault.Conflict) || fault.Is(err, fault.Meaning) || fault.Is(err, fault.NotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, key := range slices.Backward(job.StepsDone) {
		step, ok := m.Step(layout.Key(key))
		if !ok {
			continue
		}
		s.Steps = append(s.Steps, BenchStep{Caution: step.Caution, Words: "Put back what this opened: " + step.Name})
	}
	if len(s.Steps) > 0 {
		s.Notes = append(s.Notes, "Steps stand here in the reverse order of opening; where the machine map's closing or the maker's manual says otherwise, follow that.")
	}
	return nil
}
