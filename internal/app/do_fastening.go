package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

// Pull is how a joint was tightened.
type Pull struct {
	Applied  shop.Quantity // the wrench's setting
	Tool     string        // in words
	WrenchID shop.GaugeID  // where the wrench is one of the shop's gauges
}

// DoFastening says that a joint is tightened. A check of an earlier pull no
// longer counts.
func (a *App) DoFastening(ctx context.Context, who auth.Principal, at Place, pull Pull) (row shop.Fastening, err error) {
	err = a.onJob(ctx, who, at.JobID, "fastening.done", func(c *JobChange) error {
		row, err = actOn(c, at, "fastening", func(f *shop.Fastening) (bool, error) { return true, doFastening(c, f, pull) })
		return err
	})
	return row, err
}

func doFastening(c *JobChange, f *shop.Fastening, pull Pull) error {
	if err := checkPull(c, f, pull); err != nil {
		return err
	}
	again := f.DoneBy != ""
	uncheck(f)
	now := c.Now()
	f.Tool, f.WrenchID, f.Applied, f.DoneBy, f.DoneAt, f.RedoBecause = pull.Tool, pull.WrenchID, pull.Applied, c.Who.StaffID, &now, ""
	if !again {
		return nil
	}
	return c.reopenHoldPoint(f.HoldPointID)
}

func checkPull(c *JobChange, f *shop.Fastening, pull Pull) error {
	if dimensionOf(pull.Applied) != dimensionOf(f.Target) {
		return fault.Invalid("app.fastening_applied_wrong", "/applied", "Give what was applied in a unit of the target: "+f.Target.Unit+" or one like it.")
	}
	if pull.WrenchID == "" {
		if f.SafetyClass == shop.SafetyClassCritical && dimensionOf(f.Target) == measure.Torque {
			return fault.Invalid("app.fastening_wrench_missing", "/wrench_id",
				"Say which of the shop's gauges the wrench is; a critical joint is pulled with one in calibration.")
		}
		return nil
	}
	_, err := load[shop.Gauge](c, string(pull.WrenchID))
	if fault.Is(err, fault.NotFound) {
		return fault.Invalid("app.fastening_wrench_unknown", "/wrench_id", "There is no such gauge in this shop; pick one of the list.")
	}
	return err
}

func dimensionOf(q shop.Quantity) measure.Dimension { return measure.Unit(q.Unit).Dimension() }

// RedoFastening says that a joint must be done again, with a new bolt or
// locker as the maker's manual says.
func (a *App) RedoFastening(ctx context.Context, who auth.Principal, at Place, because string) (row shop.Fastening, err error) {
	err = a.onJob(ctx, who, at.JobID, "fastening.undone", func(c *JobChange) error {
		row, err = actOn(c, at, "fastening", func(f *shop.Fastening) (bool, error) {
			if f.DoneBy == "" {
				return false, fault.New(fault.Conflict, "app.fastening_not_done", "This joint is not tightened yet; there is nothing to do again.")
			}
			undo(f, because)
			return true, c.reopenHoldPoint(f.HoldPointID)
		})
		return err
	})
	return row, err
}
