package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func debrisCheckRules() rules[shop.DebrisCheck] {
	return rules[shop.DebrisCheck]{noun: "debris_check", check: checkDebris}
}

// PutDebrisCheck records or changes what was on the plug, in the filter or in
// the oil after the work.
func (a *App) PutDebrisCheck(ctx context.Context, who auth.Principal, put Put, fill func(*shop.DebrisCheck)) (shop.DebrisCheck, bool, error) {
	return putRecord[shop.DebrisCheck](ctx, a, who, put, debrisCheckRules(), fill)
}

// StrikeDebrisCheck strikes such a check with a reason.
func (a *App) StrikeDebrisCheck(ctx context.Context, who auth.Principal, at Place, reason string) (shop.DebrisCheck, error) {
	return strikeRecord[shop.DebrisCheck](ctx, a, who, at, reason, debrisCheckRules(), nil)
}

func checkDebris(_ *JobChange, _, is *shop.DebrisCheck) error {
	if is.CoarseNew && is.Amount == shop.DebrisAmountNone {
		return fault.Invalid("app.debris_check_contradicts", "/amount", "Something coarse and new was found, so there is an amount; say which.")
	}
	return nil
}
