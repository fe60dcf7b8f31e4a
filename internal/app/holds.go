package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// HoldJob puts a job on hold, with a reason. It has one hold at a time.
func (a *App) HoldJob(ctx context.Context, who auth.Principal, id shop.JobID, fill func(*shop.Hold)) (hold shop.Hold, err error) {
	err = a.onJob(ctx, who, id, "hold.set", func(c *JobChange) error {
		if ended(c.Job) {
			return closed()
		}
		active, err := list[shop.Hold](c, By{"job_id": id, "lifted_at": nil})
		if err != nil {
			return err
		}
		if len(active) > 0 {
			return fault.New(fault.Conflict, "app.hold_active", "The job is on hold already; lift that hold first.")
		}
		hold = shop.Hold{}
		fill(&hold)
		hold.ID = shop.HoldID(a.Source.ID())
		hold.OfJob = shop.OfJob{WorkOrderID: c.Job.WorkOrderID, JobID: c.Job.ID}
		hold.HeldBy, hold.HeldAt = c.Who.StaffID, c.Now()
		hold.LiftedBy, hold.LiftedAt = "", nil
		return c.Insert(&hold)
	})
	return hold, err
}

// LiftHold ends a hold.
func (a *App) LiftHold(ctx context.Context, who auth.Principal, id shop.HoldID) (hold shop.Hold, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		held, err := load[shop.Hold](tx, string(id))
		if err != nil {
			return err
		}
		return a.onJob(ctx, who, held.JobID, "hold.lifted", func(c *JobChange) error {
			hold, err = load[shop.Hold](c, string(id))
			if err != nil {
				return err
			}
			if hold.LiftedAt != nil {
				return fault.New(fault.Conflict, "app.hold_lifted", "This hold was lifted already.")
			}
			now := c.Now()
			hold.LiftedBy, hold.LiftedAt = c.Who.StaffID, &now
			return c.Advance(&hold)
		})
	})
	return hold, err
}

// ListHolds reads a page of the holds of a job, past ones too.
func (a *App) ListHolds(ctx context.Context, who auth.Principal, job shop.JobID, page Page) (holds []shop.Hold, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Job](tx, string(job)); err != nil {
			return err
		}
		return tx.List(&holds, By{"job_id": job}, page)
	})
	return holds, err
}
