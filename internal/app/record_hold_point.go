package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

func holdPointRules() rules[shop.HoldPoint] {
	return rules[shop.HoldPoint]{noun: "hold_point", check: checkHoldPoint}
}

// PutHoldPoint records or changes a hold point.
func (a *App) PutHoldPoint(ctx context.Context, who auth.Principal, put Put, fill func(*shop.HoldPoint)) (shop.HoldPoint, bool, error) {
	return putRecord[shop.HoldPoint](ctx, a, who, put, holdPointRules(), fill)
}

// StrikeHoldPoint strikes a hold point with a reason. Its critical joints are
// asked for all the same before the machine runs.
func (a *App) StrikeHoldPoint(ctx context.Context, who auth.Principal, at Place, reason string) (shop.HoldPoint, error) {
	return strikeRecord[shop.HoldPoint](ctx, a, who, at, reason, holdPointRules(), nil)
}

// checkHoldPoint opens a hold point again that now stands before something
// else than it was passed for.
func checkHoldPoint(_ *JobChange, was, is *shop.HoldPoint) error {
	if was != nil && was.Before != is.Before {
		is.PassedBy, is.PassedAt = "", nil
	}
	return nil
}

// PassHoldPoint passes a hold point whose critical joints are done and
// checked, or lists those that are not.
func (a *App) PassHoldPoint(ctx context.Context, who auth.Principal, at Place) (row shop.HoldPoint, err error) {
	err = a.onJob(ctx, who, at.JobID, "hold_point.passed", func(c *JobChange) error {
		row, err = actOn(c, at, "hold point", func(h *shop.HoldPoint) (bool, error) { return passHoldPoint(c, h) })
		return err
	})
	return row, err
}

func passHoldPoint(c *JobChange, h *shop.HoldPoint) (bool, error) {
	if h.PassedAt != nil {
		return false, nil
	}
	facts, err := holdPointFacts(c, *h)
	if err != nil {
		return false, err
	}
	if unmet := flow.PassHoldPoint(facts, string(h.ID)); len(unmet) > 0 {
		return false, gatesOpen("app.hold_point_refused", unmet)
	}
	now := c.Now()
	h.PassedBy, h.PassedAt = c.Who.StaffID, &now
	return true, nil
}

// holdPointFacts gathers the joints behind one hold point.
func holdPointFacts(c *JobChange, h shop.HoldPoint) (flow.Facts, error) {
	s, err := load[shop.Shop](c, string(c.Shop()))
	if err != nil {
		return flow.Facts{}, err
	}
	people, err := peopleOf(c)
	if err != nil {
		return flow.Facts{}, err
	}
	joints, err := every[shop.Fastening](c, By{"job_id": c.Job.ID, "hold_point_id": h.ID})
	if err != nil {
		return flow.Facts{}, err
	}
	facts := flow.Facts{OnePersonShop: s.OnePerson, HoldPoints: []flow.HoldPoint{{Row: flow.Row{ID: string(h.ID), Name: h.Before}}}}
	for _, f := range joints {
		facts.Fastenings = append(facts.Fastenings, flow.Fastening{
			Row: fasteningRow(f), Critical: f.SafetyClass == shop.SafetyClassCritical, HoldPoint: string(f.HoldPointID),
			Struck: f.IsStruck(), Done: f.DoneAt != nil, Checked: f.CheckedAt != nil,
			DoneBy: people[f.DoneBy], CheckedBy: people[f.CheckedBy], SelfReinspection: f.SelfReinspection,
		})
	}
	return facts, nil
}
