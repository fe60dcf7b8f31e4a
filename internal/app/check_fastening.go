package app

import (
	"context"
	"math/big"

	"benchtag/internal/auth"
	"benchtag/internal/flow"
	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

// Look is what the second person looked up, read, saw and marked.
type Look struct {
	Target, Setting  shop.Quantity // looked up alone; read off the wrench
	Watched, Marked  bool          // the pull; with paint
	SelfReinspection bool          // the same person, later, in a one-person shop
}

// CheckFastening records the second person's check, or lists everything that
// keeps it from counting.
func (a *App) CheckFastening(ctx context.Context, who auth.Principal, at Place, seen Look) (row shop.Fastening, err error) {
	err = a.onJob(ctx, who, at.JobID, "fastening.checked", func(c *JobChange) error {
		row, err = actOn(c, at, "fastening", func(f *shop.Fastening) (bool, error) { return true, checkFastening(c, f, seen) })
		return err
	})
	return row, err
}

func checkFastening(c *JobChange, f *shop.Fastening, seen Look) error {
	facts, err := secondLook(c, *f, seen)
	if err != nil {
		return err
	}
	if unmet := flow.CheckFastening(facts); len(unmet) > 0 {
		return gatesOpen("app.fastening_check_refused", unmet)
	}
	now := c.Now()
	f.CheckedBy, f.CheckedAt, f.CheckTarget, f.CheckSetting = c.Who.StaffID, &now, seen.Target, seen.Setting
	f.Watched, f.Marked, f.SelfReinspection = seen.Watched, seen.Marked, seen.SelfReinspection
	return nil
}

// secondLook gathers what decides whether a check counts.
func secondLook(c *JobChange, f shop.Fastening, seen Look) (flow.SecondLook, error) {
	people, err := peopleOf(c)
	if err != nil {
		return flow.SecondLook{}, err
	}
	s, err := load[shop.Shop](c, string(c.Shop()))
	if err != nil {
		return flow.SecondLook{}, err
	}
	good, err := c.wrenchGood(f)
	if err != nil {
		return flow.SecondLook{}, err
	}
	out := flow.SecondLook{
		Row:      fasteningRow(f),
		Done:     f.DoneAt != nil,
		DoneBy:   people[f.DoneBy],
		Checker:  people[c.Who.StaffID],
		SignedOn: auth.FreshEnough(c.Who.AuthTime, auth.SecondPersonLimit, c.Now()),
		ToolGood: good,
		Recorded: targetOf(f.Target, f.Angle), LookedUp: targetOf(seen.Target, f.Angle),
		Watched: seen.Watched, Marked: seen.Marked,
		OnePersonShop: s.OnePerson, SelfReinspection: seen.SelfReinspection,
	}
	if dimensionOf(f.Target) == measure.Torque { // else there is no setting to read
		out.Wrench = milliNewtonMetres(seen.Setting)
	}
	if f.DoneAt != nil {
		out.SinceDone = c.Now().Sub(*f.DoneAt)
	}
	return out, nil
}

func fasteningRow(f shop.Fastening) flow.Row {
	return flow.Row{ID: string(f.ID), Name: f.Component + ", " + f.Joint}
}

// wrenchGood reports whether the wrench was inside its calibration on the day
// of the pull. A joint pulled to an angle alone asks for none.
func (c *JobChange) wrenchGood(f shop.Fastening) (bool, error) {
	if dimensionOf(f.Target) != measure.Torque {
		return true, nil
	}
	if f.WrenchID == "" || f.DoneAt == nil {
		return f.DoneAt == nil, nil
	}
	gauge, err := load[shop.Gauge](c, string(f.WrenchID))
	if err != nil {
		return false, err
	}
	day, err := c.dayOf(*f.DoneAt)
	if err != nil {
		return false, err
	}
	return !gauge.Retired && inCalibration(gauge, day), nil
}

// inCalibration reports whether a gauge's readings count on a day; one
// without a date for its next calibration proves nothing.
func inCalibration(g shop.Gauge, day shop.Date) bool {
	return g.CalibrationDueOn != "" && day < g.CalibrationDueOn
}

// targetOf is a target as the rules compare it. The angle after the torque
// is in words, and belongs to the joint, so both persons read the same one.
func targetOf(q shop.Quantity, angle string) flow.Target {
	switch dimensionOf(q) {
	case measure.Torque:
		return flow.Target{MilliNewtonMetres: milliNewtonMetres(q), Words: angle}
	case measure.Angle:
		return flow.Target{MilliDegrees: thousandths(q, measure.Degree), Words: angle}
	}
	return flow.Target{Words: q.Value + " " + q.Unit}
}

// milliNewtonMetres gives a torque; 0 for what is none.
func milliNewtonMetres(q shop.Quantity) int64 { return thousandths(q, measure.NewtonMetre) }

// thousandths gives a quantity in whole thousandths of a unit, rounded to the
// nearest; 0 where it cannot be read in it.
func thousandths(q shop.Quantity, unit measure.Unit) int64 {
	read, err := quantityOf(q)
	if err != nil {
		return 0
	}
	in, err := measure.Convert(read, unit)
	if err != nil {
		return 0
	}
	exact, ok := new(big.Rat).SetString(in.Value.String())
	if !ok {
		return 0
	}
	exact.Mul(exact, big.NewRat(1000, 1))
	exact.Add(exact, big.NewRat(1, 2))
	whole := new(big.Int).Div(exact.Num(), exact.Denom())
	if !whole.IsInt64() {
		return 0
	}
	return whole.Int64()
}
