package app

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// FloorLine is one open job as the floor list shows it.
type FloorLine struct {
	JobID       shop.JobID
	WorkOrderID shop.WorkOrderID
	Number      int64
	Title       string
	Stage       shop.Stage
	StageSince  time.Time
	WaitingOn   flow.Who
	NextThing   string
	OnHold      bool
	Machine     string // make, model and plate
	OpenMachine string // how the open machine stands, or ""
	Bay         string // or ""
	PromisedOn  shop.Date
}

// Key is the line's place in the list: whose move, then since when, then
// which job; keys sort as the lines do.
func (l FloorLine) Key() string {
	return fmt.Sprintf("%d %s %s", slices.Index(floorOrder(), l.WaitingOn), l.StageSince.UTC().Format(floorTime), l.JobID)
}

const floorTime = "2006-01-02T15:04:05.000000"

// floorOrder says whose moves come first: ours before those we wait for.
func floorOrder() []flow.Who {
	return []flow.Who{flow.WhoBench, flow.WhoCounter, flow.WhoCustomer, flow.WhoParts, flow.WhoOutside, flow.WhoNobody}
}

// Floor reads a page of the open jobs, ordered by whose move it is, then the
// longest in its stage first; page.After is the Key of the last line before.
// The order is that of the moment of each page: a job that moves between two
// pages can be missed or met twice. At most MaxRows open jobs are looked at,
// the oldest; no floor holds so many machines.
// stuck counts the messages that need a person.
func (a *App) Floor(ctx context.Context, who auth.Principal, page Page) (lines []FloorLine, stuck int64, err error) {
	if page.After != "" && !isFloorKey(page.After) {
		return nil, 0, fault.New(fault.Shape, "app.cursor_unknown", "The cursor is not one of ours; start from the first page.")
	}
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if stuck, err = tx.MessagesStuck(); err != nil {
			return err
		}
		lines, err = a.floorLines(tx)
		return err
	})
	if err != nil {
		return nil, 0, err
	}
	slices.SortFunc(lines, func(x, y FloorLine) int { return cmp.Compare(x.Key(), y.Key()) })
	first, _ := slices.BinarySearchFunc(lines, page.After, func(l FloorLine, after string) int {
		if l.Key() <= after {
			return -1
		}
		return 1
	})
	lines = lines[first:]
	return lines[:min(len(lines), pageLimit(page))], stuck, nil
}

// FloorMark is a text that differs whenever the floor list may. What is due
// by the day comes of itself, so that the hour is part of it.
func (a *App) FloorMark(ctx context.Context, who auth.Principal) (mark string, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if mark, err = tx.FloorMark(); err != nil {
			return err
		}
		stuck, err := tx.MessagesStuck()
		mark += fmt.Sprintf("-%s-%d", tx.Now().Format("2006010215"), stuck)
		return err
	})
	return mark, err
}

func isFloorKey(text string) bool {
	rank, rest, ok := strings.Cut(text, " ")
	since, id, more := strings.Cut(rest, " ")
	_, err := time.Parse(floorTime, since)
	return ok && more && err == nil && len(rank) == 1 && len(id) == 36
}

// floorLines reads the open jobs in stretches and draws the facts of each.
func (a *App) floorLines(tx Tx) ([]FloorLine, error) {
	settings, err := load[shop.Shop](tx, string(tx.Shop()))
	if err != nil {
		return nil, err
	}
	var rows []FloorRow
	var lines []FloorLine
	for page := (Page{Limit: maxJobs}); len(rows) < MaxRows; {
		stretch, err := tx.Floor(page)
		if err != nil {
			return nil, err
		}
		drawn, err := a.floorStretch(tx, settings, stretch)
		if err != nil {
			return nil, err
		}
		rows, lines = append(rows, stretch...), append(lines, drawn...)
		if len(stretch) < page.Limit {
			break
		}
		page.After = string(stretch[len(stretch)-1].Job.ID)
	}
	return lines, markOpen(tx, rows, lines)
}

func (a *App) floorStretch(tx Tx, settings shop.Shop, rows []FloorRow) ([]FloorLine, error) {
	jobs := make([]shop.Job, len(rows))
	for i, r := range rows {
		jobs[i] = r.Job
	}
	facts, err := a.facts(tx, settings, jobs)
	if err != nil {
		return nil, err
	}
	lines := make([]FloorLine, len(rows))
	for i, r := range rows {
		lines[i] = floorLine(r, facts[r.Job.ID])
	}
	return lines, nil
}

func floorLine(r FloorRow, f flow.Facts) FloorLine {
	stage := stageOf(r.Job.Stage)
	return FloorLine{
		JobID: r.Job.ID, WorkOrderID: r.WorkOrder.ID, Number: r.WorkOrder.Number, Title: r.Job.Title,
		Stage: r.Job.Stage, StageSince: r.Job.StageSince,
		WaitingOn: flow.WaitingOn(stage, f), NextThing: flow.NextThing(stage, f), OnHold: f.Hold.Active,
		Machine: machineText(r.Machine), Bay: r.BayName, PromisedOn: r.WorkOrder.PromisedOn,
	}
}

// markOpen puts the state of an open machine on every job of its visit: who
// changes the tyre must know that the engine is empty.
func markOpen(tx Tx, rows []FloorRow, lines []FloorLine) error {
	var opened []shop.JobID
	for _, r := range rows {
		if r.Job.OpenedUp || r.Job.NotRun {
			opened = append(opened, r.Job.ID)
		}
	}
	latest, err := latestNotes(tx, opened)
	if err != nil {
		return err
	}
	states := map[shop.WorkOrderID][]string{}
	for _, r := range rows {
		state := openState(r.Job, latest[r.Job.ID])
		if state != "" && !slices.Contains(states[r.WorkOrder.ID], state) {
			states[r.WorkOrder.ID] = append(states[r.WorkOrder.ID], state)
		}
	}
	for i := range lines {
		lines[i].OpenMachine = strings.Join(states[lines[i].WorkOrderID], "; ")
	}
	return nil
}

// latestNotes reads the last hand-over note of each job, read or not, by the
// server's time of arrival.
func latestNotes(tx Tx, jobs []shop.JobID) (map[shop.JobID]shop.HandOverNote, error) {
	latest := map[shop.JobID]shop.HandOverNote{}
	if len(jobs) == 0 {
		return latest, nil
	}
	notes, err := every[shop.HandOverNote](tx, By{"job_id": jobs})
	if err != nil {
		return nil, err
	}
	for _, n := range unstruck(notes) {
		if last, ok := latest[n.JobID]; !ok || !n.ReceivedAt.Before(last.ReceivedAt) {
			latest[n.JobID] = n
		}
	}
	return latest, nil
}

// openState says how a machine stands that a job has opened. Once the job
// has left the repair it was put back together, so that an older note no
// longer holds; a machine that was not run keeps its warning to the end.
func openState(j shop.Job, note shop.HandOverNote) string {
	together := j.Stage == shop.StageRoadTest || j.Stage == shop.StageRelease
	var parts []string
	switch {
	case !j.OpenedUp && !j.NotRun:
		return ""
	case note.ID != "" && !(together && !j.NotRun && note.ReceivedAt.Before(j.StageSince)):
		if note.MachineState != "" {
			parts = append(parts, strings.TrimRight(note.MachineState, " ."))
		}
		if note.DoNotStart {
			parts = append(parts, "do not start")
		}
	}
	if j.NotRun && !slices.Contains(parts, "do not start") {
		parts = append(parts, "not run, do not start")
	}
	if len(parts) == 0 && !together {
		parts = append(parts, "opened up, and no note says how it stands")
	}
	return strings.Join(parts, ", ")
}
