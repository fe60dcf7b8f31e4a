package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// PutFirstStart records or changes a job's list before and at the first
// start. That the engine was started is taken only with the list complete.
func (a *App) PutFirstStart(ctx context.Context, who auth.Principal, put Put, fill func(*shop.FirstStart)) (shop.FirstStart, bool, error) {
	return putRecord[shop.FirstStart](ctx, a, who, put, rules[shop.FirstStart]{noun: "first_start", check: checkFirstStart}, fill)
}

func checkFirstStart(c *JobChange, _, is *shop.FirstStart) error {
	if is.StartedAt == nil {
		return nil
	}
	if c.ahead(is.StartedAt) {
		return fault.Invalid("app.first_start_ahead", "/started_at", "That time is still to come; check the clock of the device.")
	}
	facts := flow.Facts{FirstStart: flow.FirstStartFacts{
		EngineOpened: c.Job.EngineOpened, OilOut: c.Job.OilOut, CircuitOpen: c.Job.CircuitOpen,
		TurnedByHand: is.TurnedByHand, MarksReread: is.MarksReread, NoMarks: is.NoMarksBecause,
		OilIn: is.OilInAndPrimed, NoLeaks: is.NoLeaks, ToolsOut: is.ToolsOut,
		PressureInQuestion: c.Job.PressureInQuestion, Pressure: !is.Pressure.IsZero(), PressureNotPossible: is.PressureNotPossible,
	}}
	if unmet := flow.FirstStart(facts); len(unmet) > 0 {
		return gatesOpen("app.first_start_refused", unmet)
	}
	return nil
}

// PutHandOver records or changes what is said and given when the machine
// leaves.
func (a *App) PutHandOver(ctx context.Context, who auth.Principal, put Put, fill func(*shop.HandOver)) (shop.HandOver, bool, error) {
	return putRecord[shop.HandOver](ctx, a, who, put, rules[shop.HandOver]{noun: "hand_over"}, fill)
}

// PutWithdrawal records or changes why and how the customer takes the machine
// back before the work is done. The move itself is another step.
func (a *App) PutWithdrawal(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Withdrawal)) (shop.Withdrawal, bool, error) {
	return putRecord[shop.Withdrawal](ctx, a, who, put, rules[shop.Withdrawal]{noun: "withdrawal"}, fill)
}
