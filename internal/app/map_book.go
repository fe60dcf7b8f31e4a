package app

import (
	"context"
	"slices"
	"sync"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// mapBook keeps machine maps made ready, by the SHA-256 of their documents,
// which never change.
type mapBook struct {
	mu       sync.Mutex
	compiled map[string]*layout.Compiled
}

// maxMaps bounds the book; it is emptied when it is full.
const maxMaps = 200

func (b *mapBook) open(row shop.Layout) (*layout.Compiled, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if c := b.compiled[row.SHA256]; c != nil {
		return c, nil
	}
	m, err := layout.ParseMap(row.Document)
	if err != nil {
		return nil, err
	}
	c, err := layout.Compile(m)
	if err != nil {
		return nil, err
	}
	if b.compiled == nil || len(b.compiled) >= maxMaps {
		b.compiled = map[string]*layout.Compiled{}
	}
	b.compiled[row.SHA256] = c
	return c, nil
}

// mapOf opens the machine map a job works by; nil where it has none.
func (a *App) mapOf(tx Tx, job shop.Job) (*layout.Compiled, error) {
	if job.LayoutID == "" {
		return nil, nil
	}
	row, err := load[shop.Layout](tx, string(job.LayoutID))
	if err != nil {
		return nil, err
	}
	return a.maps.open(row)
}

// mapsOf opens the machine maps that jobs work by.
func (a *App) mapsOf(tx Tx, jobs []shop.Job) (map[shop.JobID]*layout.Compiled, error) {
	var ids []shop.LayoutID
	for _, j := range jobs {
		if j.LayoutID != "" && !slices.Contains(ids, j.LayoutID) {
			ids = append(ids, j.LayoutID)
		}
	}
	out := map[shop.JobID]*layout.Compiled{}
	if len(ids) == 0 {
		return out, nil
	}
	rows, err := list[shop.Layout](tx, By{"id": ids})
	if err != nil {
		return nil, err
	}
	for _, row := range rows {
		m, err := a.maps.open(row)
		if err != nil {
			return nil, err
		}
		for _, j := range jobs {
			if j.LayoutID == row.ID {
				out[j.ID] = m
			}
		}
	}
	return out, nil
}

// needMap is mapOf for what cannot be said without a map.
func (a *App) needMap(tx Tx, job shop.Job) (*layout.Compiled, error) {
	row, err := needMapRow(tx, job)
	if err != nil {
		return nil, err
	}
	return a.maps.open(row)
}

// needMapRow reads the machine map a job works by, as it is stored.
func needMapRow(tx Tx, job shop.Job) (shop.Layout, error) {
	if job.LayoutID == "" {
		return shop.Layout{}, fault.New(fault.Meaning, "app.machine_map_missing",
			"The job has no machine map; choose one on the machine or with use-map first.")
	}
	return load[shop.Layout](tx, string(job.LayoutID))
}

// sheetOf reads the limit sheet a job works by; nil where it has none.
func sheetOf(tx Tx, job shop.Job) (*layout.Sheet, error) {
	if job.LimitSheetID == "" {
		return nil, nil
	}
	row, err := load[shop.LimitSheet](tx, string(job.LimitSheetID))
	if err != nil {
		return nil, err
	}
	s, err := layout.ParseSheet(row.Document)
	return &s, err
}

// MapChoice is the machine map and the limit sheet a job shall work by; an
// empty sheet is the one that fits, if there is one.
type MapChoice struct {
	LayoutID     shop.LayoutID
	LimitSheetID shop.LimitSheetID
}

// UseMap changes by which map and sheet a job works, and judges again what
// was measured on it.
func (a *App) UseMap(ctx context.Context, who auth.Principal, id shop.JobID, choice MapChoice) (job shop.Job, err error) {
	err = a.onJob(ctx, who, id, "job.map_chosen", func(c *JobChange) error {
		if ended(c.Job) {
			return closed()
		}
		if err := c.choose(choice); err != nil {
			return err
		}
		if err := c.advanceFirst(c.Job); err != nil {
			return err
		}
		job = *c.Job
		return a.measureAgain(c)
	})
	return job, err
}

func (c *JobChange) choose(choice MapChoice) error {
	c.Job.LayoutID, c.Job.LimitSheetID = choice.LayoutID, choice.LimitSheetID
	if choice.LayoutID == "" {
		if choice.LimitSheetID != "" {
			return fault.Invalid("app.limit_sheet_alone", "/limit_sheet_id", "A limit sheet goes with its machine map; name that too.")
		}
		return nil
	}
	m, err := pointed[shop.Layout](c, string(choice.LayoutID), "/layout_id")
	if err != nil {
		return err
	}
	if choice.LimitSheetID == "" {
		return pin(c, *c.Order, c.Job)
	}
	s, err := pointed[shop.LimitSheet](c, string(choice.LimitSheetID), "/limit_sheet_id")
	if err != nil {
		return err
	}
	if s.MapCode != m.Code {
		return fault.Invalid("app.limit_sheet_of_other_map", "/limit_sheet_id", "This limit sheet is for another machine map.")
	}
	return nil
}
