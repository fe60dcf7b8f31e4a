package app

import (
	"context"
	"fmt"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// MoveRequest is a move somebody asks for, with a remark for the journal.
type MoveRequest struct {
	Move flow.Move
	Note string
}

// MoveJob moves a job along its path. With gates unmet it stays where it is,
// and the Gates fault lists all of them. Facts are drawn under the lock of
// the work order, so of two who move at once one wins.
func (a *App) MoveJob(ctx context.Context, who auth.Principal, id shop.JobID, ask MoveRequest) (job shop.Job, err error) {
	err = a.onJob(ctx, who, id, "job.moved", func(c *JobChange) error {
		f, err := a.factsOf(c.Tx, *c.Job)
		if err != nil {
			return err
		}
		to, unmet, err := flow.Next(stageOf(c.Job.Stage), ask.Move, f)
		if err != nil {
			return err
		}
		if len(unmet) > 0 {
			return unmetGates(unmet)
		}
		c.Remark(ask.Note)
		if err := c.move(ask.Move, to, f); err != nil {
			return err
		}
		job = *c.Job
		return nil
	})
	return job, err
}

// unmetGates is the refusal of a move, with everything that is missing.
func unmetGates(unmet []fault.Gate) error {
	f := fault.New(fault.Gates, "app.gates_unmet", "Something is still missing before this can be done; see gates.")
	f.Gates = unmet
	return f
}

// move takes the job to its next stage and does what follows from that.
func (c *JobChange) move(move flow.Move, to flow.Stage, f flow.Facts) error {
	job := c.Job
	job.Enter(shop.Stage(to), c.Now())
	if to == flow.Teardown && !job.OpenedUp {
		// What is opened counts as the engine until the shop says otherwise on
		// the job: the list before the first start must not hang on a tick
		// that somebody forgot.
		job.OpenedUp, job.EngineOpened = true, true
	}
	switch {
	case move == flow.LeaveNotRun:
		job.NotRun = true
	case runsAgain(move):
		job.NotRun, job.NotRunBecause, job.NotRunState = false, "", shop.NotRunStateUnset
	}
	if err := c.Advance(job); err != nil {
		return err
	}
	switch {
	case to == flow.Repair:
		return c.agreeUnderLimit(f)
	case move == flow.BackToTeardown:
		return c.undoFirstStart()
	case to == flow.Release:
		c.Attest()
	case to.Final():
		c.Attest()
		if err := c.withdrawOpen(); err != nil {
			return err
		}
		return c.closeOrder()
	}
	return nil
}

// runsAgain reports that the move takes back what was said of leaving
// without a run: the job goes back into the work, or is run after all.
func runsAgain(move flow.Move) bool {
	switch move {
	case flow.BackToDiagnosis, flow.BackToTeardown, flow.BackToRepair, flow.BackToRoadTest, flow.MoreToOpen, flow.ToRoadTest:
		return true
	}
	return false
}

// agreeUnderLimit lets the "yes, up to" given at drop-off stand as the
// consent of the certain lines it covers, where nothing better is there.
func (c *JobChange) agreeUnderLimit(f flow.Facts) error {
	if f.Consent.Given && f.Consent.Scope && f.Consent.Bound || !f.DropOff.Counts || !f.DropOff.Covers {
		return nil
	}
	given, err := list[shop.Consent](c, By{"job_id": c.Job.ID, "decision": shop.DecisionAgreed, "offer_id": nil, "revoked_at": nil})
	if err != nil {
		return err
	}
	var last shop.Consent
	for _, g := range given {
		if g.LimitAmount != nil && !g.SaidAt.Before(last.SaidAt) {
			last = g
		}
	}
	if last.ID == "" {
		return fmt.Errorf("app: job %s has a limit from drop-off and no consent that says so", c.Job.ID)
	}
	lines, err := every[shop.Line](c, By{"job_id": c.Job.ID, "state": shop.LineStateProposed, "certainty": shop.CertaintyCertain})
	if err != nil {
		return err
	}
	for _, l := range unstruck(lines) {
		l.State, l.ConsentID = shop.LineStateAgreed, last.ID
		if err := c.Advance(&l); err != nil {
			return err
		}
	}
	return nil
}

// undoFirstStart takes back the list of the first start when the machine
// comes apart again: what was turned, read and counted out is no longer so.
func (c *JobChange) undoFirstStart() error {
	rows, err := list[shop.FirstStart](c, By{"job_id": c.Job.ID})
	if err != nil {
		return err
	}
	for _, s := range rows {
		s.TurnedByHand, s.MarksReread, s.OilInAndPrimed, s.NoLeaks, s.ToolsOut = false, false, false, false, false
		s.Pressure, s.PressureNotPossible, s.StartedAt, s.BodyDigest = shop.Quantity{}, "", nil, ""
		if err := c.Advance(&s); err != nil {
			return err
		}
	}
	return nil
}

// closeOrder closes the work order when its last job has ended.
func (c *JobChange) closeOrder() error {
	jobs, err := every[shop.Job](c, By{"work_order_id": c.Order.ID})
	if err != nil {
		return err
	}
	for i := range jobs {
		if !ended(&jobs[i]) {
			return nil
		}
	}
	now := c.Now()
	c.Order.ClosedAt = &now
	return c.Advance(c.Order)
}

// Outlook is where a job stands and what it can do next.
type Outlook struct {
	Stage     flow.Stage
	WaitingOn flow.Who
	NextThing string // one sentence; empty for a job that is over
	Options   []flow.Option
}

// GetMoves says what a job can do next and what is missing for each move,
// from the same table that refuses.
func (a *App) GetMoves(ctx context.Context, who auth.Principal, id shop.JobID) (out Outlook, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		f, err := a.factsOf(tx, job)
		if err != nil {
			return err
		}
		at := stageOf(job.Stage)
		out = Outlook{Stage: at, WaitingOn: flow.WaitingOn(at, f), NextThing: flow.NextThing(at, f), Options: flow.Possible(at, f)}
		return nil
	})
	return out, err
}
