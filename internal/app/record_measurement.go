package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

func (a *App) measurementRules() rules[shop.Measurement] {
	return rules[shop.Measurement]{noun: "measurement", check: func(c *JobChange, was, is *shop.Measurement) error {
		before := shop.FindingID("")
		if was != nil {
			before = was.FindingID
		}
		err := refer[shop.Finding](c, reference{id: string(is.FindingID), was: string(before), pointer: "/finding_id", noun: "finding"})
		if err != nil {
			return err
		}
		if err := a.judge(c, is); err != nil {
			return err
		}
		if before != "" && before != is.FindingID {
			if err := c.gradeFinding(before, is, nil); err != nil {
				return err
			}
		}
		return c.gradeFinding(is.FindingID, nil, is)
	}}
}

// PutMeasurement records or changes what was read at a measured point: the
// value, its uncertainty, the verdict and the finding's grade follow.
func (a *App) PutMeasurement(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Measurement)) (shop.Measurement, bool, error) {
	return putRecord[shop.Measurement](ctx, a, who, put, a.measurementRules(), fill)
}

// StrikeMeasurement strikes what was read, with a reason; the finding's grade
// follows from what is left.
func (a *App) StrikeMeasurement(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Measurement, error) {
	return strikeRecord(ctx, a, who, at, reason, a.measurementRules(), func(c *JobChange, m *shop.Measurement) error {
		return c.gradeFinding(m.FindingID, m, nil)
	})
}

// gradeFinding sets the measured grade of a finding: the worst of its
// measurements that decide one, without the one that goes and with the one that
// comes.
func (c *JobChange) gradeFinding(id shop.FindingID, goes, comes *shop.Measurement) error {
	all, err := every[shop.Measurement](c, By{"finding_id": id})
	if err != nil {
		return err
	}
	var grade *int64
	for _, m := range unstruck(all) {
		if (goes == nil || m.ID != goes.ID) && (comes == nil || m.ID != comes.ID) && !m.Indicative {
			grade = worse(grade, m.Grade)
		}
	}
	if comes != nil && !comes.Indicative {
		grade = worse(grade, comes.Grade)
	}
	f, err := load[shop.Finding](c, string(id))
	if err != nil {
		return err
	}
	if sameGrade(f.MeasuredGrade, grade) {
		return nil
	}
	f.MeasuredGrade = grade
	f.EffectiveGrade = worse(f.LookedAtGrade, f.MeasuredGrade)
	if err := c.Advance(&f); err != nil {
		return err
	}
	return c.flagOffers()
}

func sameGrade(a, b *int64) bool { return (a == nil) == (b == nil) && (a == nil || *a == *b) }

// measureAgain judges every measurement of the job anew, after the map or the
// sheet it works by changed.
func (a *App) measureAgain(c *JobChange) error {
	all, err := every[shop.Measurement](c, By{"job_id": c.Job.ID})
	if err != nil {
		return err
	}
	for _, m := range unstruck(all) {
		if err := a.judge(c, &m); err != nil {
			return err
		}
		if err := c.Advance(&m); err != nil {
			return err
		}
		if err := c.gradeFinding(m.FindingID, nil, &m); err != nil {
			return err
		}
	}
	return nil
}

// pointOf finds the measured point of the job's machine map; nil for a point
// of the technician's own.
func pointOf(m *layout.Compiled, key string) (*layout.Point, error) {
	if key == "" {
		return nil, nil
	}
	if m != nil {
		if p, ok := m.Point(layout.Key(key)); ok {
			return &p, nil
		}
	}
	return nil, fault.Invalid("app.point_unknown", "/point",
		"The job's machine map has no such measured point; name one of measured-points, or leave it empty and give the formula.")
}
