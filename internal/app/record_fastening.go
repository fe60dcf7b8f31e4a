package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

func fasteningRules() rules[shop.Fastening] {
	return rules[shop.Fastening]{noun: "fastening", check: checkFasteningRecord}
}

// PutFastening records or changes a joint to be tightened. What changes what
// it is tightened to undoes the tightening and its check.
func (a *App) PutFastening(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Fastening)) (shop.Fastening, bool, error) {
	return putRecord[shop.Fastening](ctx, a, who, put, fasteningRules(), fill)
}

// StrikeFastening strikes a joint with a reason.
func (a *App) StrikeFastening(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Fastening, error) {
	return strikeRecord[shop.Fastening](ctx, a, who, at, reason, fasteningRules(), nil)
}

func checkFasteningRecord(c *JobChange, was, is *shop.Fastening) error {
	before := shop.HoldPointID("")
	if was != nil {
		before = was.HoldPointID
	}
	err := refer[shop.HoldPoint](c, reference{id: string(is.HoldPointID), was: string(before), pointer: "/hold_point_id", noun: "hold point"})
	if err != nil {
		return err
	}
	if err := checkFasteningWords(is); err != nil {
		return err
	}
	reopen := was == nil || before != is.HoldPointID || was.SafetyClass != is.SafetyClass
	if was != nil && was.DoneBy != "" && retargeted(was, is) {
		undo(is, changedSince)
		reopen = true
	}
	if !reopen {
		return nil
	}
	return c.reopenHoldPoint(is.HoldPointID)
}

const changedSince = "Changed after it was tightened."

// checkFasteningWords refuses a target nobody could pull or nobody could look
// up, and a critical joint called ordinary.
func checkFasteningWords(is *shop.Fastening) error {
	if empty(is.Source) {
		return fault.Invalid("app.fastening_source_missing", "/source", "Say where the target comes from: document, edition, page.")
	}
	q, err := quantityOf(is.Target)
	if err != nil {
		return fault.Invalid("app.fastening_target_wrong", "/target", "Give the target as a torque or an angle, as in 25 N.m.")
	}
	if d := q.Unit.Dimension(); (d != measure.Torque && d != measure.Angle) || q.Value.Sign() <= 0 {
		return fault.Invalid("app.fastening_target_wrong", "/target", "Give the target as a torque or an angle above zero, as in 25 N.m.")
	}
	if is.SafetyClass == shop.SafetyClassOrdinary && criticalJoint(is.Component, is.Joint) {
		return fault.Invalid("app.fastening_is_critical", "/safety_class",
			"A rider's life hangs on this joint: it is critical, and a second person checks it.")
	}
	return nil
}

// quantityOf reads a stored quantity.
func quantityOf(q shop.Quantity) (measure.Quantity, error) {
	return measure.ParseValue(q.Value, q.Unit)
}

// retargeted reports whether a joint is no longer the one that was tightened.
func retargeted(was, is *shop.Fastening) bool {
	return was.Component != is.Component || was.Joint != is.Joint || was.Stages != is.Stages || was.Angle != is.Angle ||
		was.JointCondition != is.JointCondition || was.HoldPointID != is.HoldPointID || !sameQuantity(was.Target, is.Target)
}

// sameQuantity compares by size, whatever the unit.
func sameQuantity(a, b shop.Quantity) bool {
	p, errA := quantityOf(a)
	q, errB := quantityOf(b)
	if errA != nil || errB != nil {
		return a.Value == b.Value && a.Unit == b.Unit
	}
	order, err := measure.Compare(p, q)
	return err == nil && order == 0
}

// undo takes back that a joint was tightened and checked, and says why.
func undo(f *shop.Fastening, because string) {
	uncheck(f)
	f.Tool, f.WrenchID, f.Applied, f.DoneBy, f.DoneAt = "", "", shop.Quantity{}, "", nil
	f.RedoBecause = because
}

func uncheck(f *shop.Fastening) {
	f.CheckedBy, f.CheckedAt, f.CheckTarget, f.CheckSetting = "", nil, shop.Quantity{}, shop.Quantity{}
	f.Watched, f.Marked, f.SelfReinspection = false, false, false
}

// reopenHoldPoint takes back that a hold point was passed: a joint behind it
// is no longer as it was then.
func (c *JobChange) reopenHoldPoint(id shop.HoldPointID) error {
	if id == "" {
		return nil
	}
	point, err := load[shop.HoldPoint](c, string(id))
	if err != nil {
		return err
	}
	if point.PassedAt == nil || point.IsStruck() {
		return nil
	}
	point.PassedBy, point.PassedAt = "", nil
	return c.Advance(&point)
}
