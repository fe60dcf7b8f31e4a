package app

import (
	"context"
	"encoding/json"
	"slices"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/checks"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/reckon"
	"benchtag/internal/shop"
)

// ChecksAsked narrows a question for first checks: finer symptoms than the
// complaints say, and when it happens. Empty symptoms are those of the
// complaints.
type ChecksAsked struct {
	Symptoms, Circumstances []string
}

// FirstChecks says which quick check comes first for a job: causes that fit
// its complaints, counted by what the shop itself found before.
func (a *App) FirstChecks(ctx context.Context, who auth.Principal, id shop.JobID, asked ChecksAsked) (answer reckon.Answer, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		row, err := needMapRow(tx, job)
		if err != nil {
			return err
		}
		kinds, err := symptomsOf(tx, job)
		if err != nil {
			return err
		}
		counts, err := a.causeCounts(tx, kinds)
		if err != nil {
			return err
		}
		symptoms := asked.Symptoms
		if len(symptoms) == 0 {
			symptoms = kinds
		}
		answer, err = asking{"call": "for", "map": json.RawMessage(row.Document), "symptoms": list0(symptoms),
			"circumstances": list0(asked.Circumstances), "counts": counts}.run("checks")
		return err
	})
	return answer, err
}

// symptomsOf lists the kinds of symptom of a job's complaints, each once.
func symptomsOf(tx Tx, job shop.Job) ([]string, error) {
	complaints, err := every[shop.Complaint](tx, By{"job_id": job.ID})
	if err != nil {
		return nil, err
	}
	var kinds []string
	for _, c := range unstruck(complaints) {
		if kind := string(c.Symptom); c.Kind == shop.JobKindComplaint && kind != "" && !slices.Contains(kinds, kind) {
			kinds = append(kinds, kind)
		}
	}
	if len(kinds) == 0 {
		return nil, fault.New(fault.Meaning, "app.complaint_missing", "There is no complaint to look for the cause of; write it down first.")
	}
	return kinds, nil
}

// causeCounts counts, by kind of component, what was the first cause in the
// shop's closed jobs that came with such a symptom; the newest MaxRows first
// causes are looked at.
func (a *App) causeCounts(tx Tx, symptoms []string) ([]checks.Count, error) {
	var causes []shop.Finding
	if err := tx.List(&causes, By{"first_cause": true, "struck_at": nil}, Page{Newest: true}); err != nil {
		return nil, err
	}
	var ids []shop.JobID
	for _, f := range causes {
		ids = append(ids, f.JobID)
	}
	jobs, err := every[shop.Job](tx, By{"id": ids, "stage": shop.StageClosed})
	if err != nil {
		return nil, err
	}
	complaints, err := every[shop.Complaint](tx, By{"job_id": ids, "symptom": symptoms, "struck_at": nil})
	if err != nil {
		return nil, err
	}
	counted := map[layout.Key]int64{}
	for _, f := range causes {
		i := slices.IndexFunc(jobs, func(j shop.Job) bool { return j.ID == f.JobID })
		fits := slices.ContainsFunc(complaints, func(c shop.Complaint) bool { return c.JobID == f.JobID })
		if i < 0 || !fits {
			continue
		}
		kind, err := a.kindOf(tx, jobs[i], f)
		if err != nil {
			return nil, err
		}
		if kind != "" {
			counted[kind]++
		}
	}
	out := []checks.Count{}
	for kind, n := range counted {
		out = append(out, checks.Count{Kind: kind, Count: n})
	}
	slices.SortFunc(out, func(a, b checks.Count) int { return strings.Compare(string(a.Kind), string(b.Kind)) })
	return out, nil
}

// kindOf gives the kind of the component a finding names; "" where the job had
// no map, or the map has no such component.
func (a *App) kindOf(tx Tx, job shop.Job, f shop.Finding) (layout.Key, error) {
	m, err := a.mapOf(tx, job)
	if err != nil || m == nil {
		return "", err
	}
	c, _ := m.Component(layout.Key(f.Component))
	return c.Kind, nil
}
