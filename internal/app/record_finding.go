package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

func (a *App) findingRules() rules[shop.Finding] {
	return rules[shop.Finding]{noun: "finding", check: func(c *JobChange, was, is *shop.Finding) error {
		m, err := a.mapOf(c, *c.Job)
		if err != nil {
			return err
		}
		is.Name = ""
		if m != nil {
			is.Name = nameOf(m, layout.Key(is.Component))
		}
		return checkFinding(c, was, is)
	}}
}

// nameOf gives what people call a component, group, compartment or assembly of
// the map; "" where it has none of that key.
func nameOf(m *layout.Compiled, key layout.Key) string {
	for _, a := range m.Map().Assemblies {
		if a.Key == key {
			return a.Name
		}
	}
	if len(componentsNamed(m, key)) == 0 {
		return ""
	}
	return m.Name(key)
}

// PutFinding records or changes a component's condition. An open offer of
// the job is flagged: the customer was asked before this was known.
func (a *App) PutFinding(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Finding)) (shop.Finding, bool, error) {
	return putRecord[shop.Finding](ctx, a, who, put, a.findingRules(), fill)
}

// StrikeFinding strikes a finding with a reason, and flags an open offer.
func (a *App) StrikeFinding(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Finding, error) {
	return strikeRecord(ctx, a, who, at, reason, a.findingRules(), func(c *JobChange, _ *shop.Finding) error {
		return c.flagOffers()
	})
}

func checkFinding(c *JobChange, was, is *shop.Finding) error {
	if was == nil {
		was = &shop.Finding{}
	}
	if g := is.LookedAtGrade; g != nil && (*g < 0 || *g > 4) {
		return fault.Invalid("app.finding_grade_unknown", "/looked_at_grade", "Grades run from 0, as new, to 4, failed.")
	}
	is.EffectiveGrade = worse(is.LookedAtGrade, is.MeasuredGrade)
	for _, check := range []func(*JobChange, *shop.Finding, *shop.Finding) error{checkDanger, checkFindingNames, checkFirstCause} {
		if err := check(c, was, is); err != nil {
			return err
		}
	}
	return c.flagOffers()
}

// worse gives the worse of two grades; no data gives way to a grade.
func worse(a, b *int64) *int64 {
	if a == nil || (b != nil && *b > *a) {
		return b
	}
	return a
}

// checkDanger makes sure that how a danger was dealt with is said of a
// danger, and is whole; it carries the time it was recorded.
func checkDanger(c *JobChange, was, is *shop.Finding) error {
	if is.DangerOutcome == shop.DangerOutcomeUnset {
		is.DangerAt = nil
		return nil
	}
	if is.SafeToRide != shop.YesNoNo {
		return fault.Invalid("app.finding_not_dangerous", "/danger_outcome",
			"Only a finding that is not safe to ride has such an outcome; leave safe_to_ride at no, as it was found.")
	}
	if is.DangerOutcome == shop.DangerOutcomeOwnerInsists {
		if err := checkWarning(is); err != nil {
			return err
		}
	}
	same := is.DangerOutcome == was.DangerOutcome && is.DangerWarning == was.DangerWarning && is.DangerWitness == was.DangerWitness
	if !same || is.DangerAt == nil {
		now := c.Now()
		is.DangerAt = &now
	}
	return nil
}

func checkWarning(is *shop.Finding) error {
	f := fault.New(fault.Meaning, "app.finding_warning_incomplete", "When the owner insists, the exact warning and who heard it are on record.")
	if empty(is.DangerWarning) {
		f.Fields = append(f.Fields, fault.Field{Pointer: "/danger_warning", Message: "Write down the exact warning that was given."})
	}
	if empty(is.DangerWitness) {
		f.Fields = append(f.Fields, fault.Field{Pointer: "/danger_witness", Message: "Name who heard it."})
	}
	if len(f.Fields) == 0 {
		return nil
	}
	return f
}

func checkFindingNames(c *JobChange, was, is *shop.Finding) error {
	err := refer[shop.Complaint](c, reference{id: string(is.ComplaintID), was: string(was.ComplaintID), pointer: "/complaint_id", noun: "complaint"})
	if err != nil {
		return err
	}
	err = refer[shop.Finding](c, reference{id: string(is.CausedByID), was: string(was.CausedByID), pointer: "/caused_by_id", noun: "finding", order: true})
	if err != nil {
		return err
	}
	return checkCauses(c, is)
}

// checkCauses refuses a finding that would be, by way of others, its own
// cause.
func checkCauses(c *JobChange, is *shop.Finding) error {
	seen := map[shop.FindingID]bool{}
	for id := is.CausedByID; id != "" && !seen[id]; {
		if id == is.ID {
			return fault.Invalid("app.finding_causes_itself", "/caused_by_id", "This finding is a cause of that one; they cannot cause each other.")
		}
		seen[id] = true
		cause, err := load[shop.Finding](c, string(id))
		if err != nil {
			return err
		}
		id = cause.CausedByID
	}
	return nil
}

// checkFirstCause allows one first cause a job.
func checkFirstCause(c *JobChange, was, is *shop.Finding) error {
	if !is.FirstCause || was.FirstCause {
		return nil
	}
	marked, err := list[shop.Finding](c, By{"job_id": c.Job.ID, "first_cause": true, "struck_at": nil})
	if err != nil {
		return err
	}
	if anyOf(marked, func(f shop.Finding) bool { return f.ID != is.ID }) {
		return fault.Invalid("app.finding_first_cause_taken", "/first_cause", "Another finding is marked as the first cause; take the mark off there first.")
	}
	return nil
}
