package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// AddJob puts a job on a work order; it starts at intake. A work order whose
// jobs had all ended is open again. fill puts the client's fields onto it.
func (a *App) AddJob(ctx context.Context, who auth.Principal, order shop.WorkOrderID, fill func(*shop.Job)) (job shop.Job, err error) {
	err = a.onOrder(ctx, who, order, "job.added", func(c *Change, order *shop.WorkOrder) error {
		job = shop.Job{}
		fill(&job)
		job.Row = shop.Row{}
		job.ID, job.WorkOrderID = shop.JobID(a.Source.ID()), order.ID
		job.NotRun, job.OpenedUp, job.Stages = false, false, nil
		job.Enter(shop.StageIntake, c.Now())
		if err := checkJob(c, *order, job); err != nil {
			return err
		}
		if err := pin(c, *order, &job); err != nil {
			return err
		}
		if err := c.Insert(&job); err != nil {
			return err
		}
		if order.ClosedAt == nil {
			return nil
		}
		order.ClosedAt = nil
		return c.Advance(order)
	})
	return job, err
}

// checkJob refuses what a job cannot say.
func checkJob(tx Tx, order shop.WorkOrder, job shop.Job) error {
	if job.EarlierJobID == "" {
		return nil
	}
	wrong := fault.Invalid("app.earlier_job_wrong", "/earlier_job_id", "Name an earlier job of the same machine, or none.")
	if job.EarlierJobID == job.ID {
		return wrong
	}
	earlier, err := load[shop.Job](tx, string(job.EarlierJobID))
	if fault.Is(err, fault.NotFound) {
		return wrong
	}
	if err != nil {
		return err
	}
	visit, err := load[shop.WorkOrder](tx, string(earlier.WorkOrderID))
	if err != nil {
		return err
	}
	if visit.MachineID != order.MachineID {
		return wrong
	}
	return nil
}

// pin notes the machine map and the limit sheet the job works by, where it
// has none yet: later editions do not change a job under way.
func pin(tx Tx, order shop.WorkOrder, job *shop.Job) error {
	if job.LayoutID != "" && job.LimitSheetID != "" {
		return nil
	}
	machine, err := load[shop.Machine](tx, string(order.MachineID))
	if err != nil {
		return err
	}
	if job.LayoutID == "" {
		job.LayoutID = machine.LayoutID
	}
	if job.LayoutID == "" || job.LimitSheetID != "" {
		return nil
	}
	m, err := load[shop.Layout](tx, string(job.LayoutID))
	if err != nil {
		return err
	}
	sheets, err := list[shop.LimitSheet](tx, By{"map_code": m.Code})
	if err != nil {
		return err
	}
	job.LimitSheetID = sheetFor(m.Code, machine, sheets)
	return nil
}

// sheetFor picks the sheet that fits the machine best; "" where none does.
func sheetFor(mapCode string, machine shop.Machine, rows []shop.LimitSheet) shop.LimitSheetID {
	want := layout.Machine{Map: layout.Key(mapCode), Make: machine.Make, Model: machine.Model, Year: yearOf(machine.Year)}
	heads := make([]layout.Sheet, len(rows))
	for i, r := range rows {
		heads[i] = layout.Sheet{Code: layout.Key(r.ID), Revision: r.Revision, Map: layout.Key(r.MapCode), Example: r.Example,
			For: layout.For{Make: r.Make, Model: r.Model, YearFrom: yearOf(r.YearFrom), YearTo: yearOf(r.YearTo)}}
	}
	best, _ := layout.Match(heads, want)
	return shop.LimitSheetID(best.Code)
}

func yearOf(year *int64) int64 {
	if year == nil {
		return 0
	}
	return *year
}

// GetJob reads one job.
func (a *App) GetJob(ctx context.Context, who auth.Principal, id shop.JobID) (job shop.Job, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err = load[shop.Job](tx, string(id))
		return err
	})
	return job, err
}

// ListJobs reads a page of the jobs of a work order, in order of making.
func (a *App) ListJobs(ctx context.Context, who auth.Principal, order shop.WorkOrderID, page Page) (jobs []shop.Job, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.WorkOrder](tx, string(order)); err != nil {
			return err
		}
		return tx.List(&jobs, By{"work_order_id": order}, page)
	})
	return jobs, err
}

// JobVersion names a job and the version a change starts from.
type JobVersion struct {
	ID      shop.JobID
	Version int64
}

// PutJob changes what people say of a job. Where it stands, what was opened
// and which map it works by are the server's to say and stay.
func (a *App) PutJob(ctx context.Context, who auth.Principal, at JobVersion, fill func(*shop.Job)) (job shop.Job, err error) {
	err = a.onJob(ctx, who, at.ID, "job.changed", func(c *JobChange) error {
		if c.Job.Version != at.Version {
			return stale()
		}
		if ended(c.Job) {
			return closed()
		}
		was := *c.Job
		job = was
		fill(&job)
		job.Row, job.ID, job.WorkOrderID = was.Row, was.ID, was.WorkOrderID
		job.Stage, job.StageSince, job.Stages, job.NotRun, job.OpenedUp = was.Stage, was.StageSince, was.Stages, was.NotRun, was.OpenedUp
		job.LayoutID, job.LimitSheetID = was.LayoutID, was.LimitSheetID
		if err := checkJob(c, *c.Order, job); err != nil {
			return err
		}
		if err := pin(c, *c.Order, &job); err != nil {
			return err
		}
		return c.Advance(&job)
	})
	return job, err
}
