package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

func promiseRules() rules[shop.Promise] { return rules[shop.Promise]{noun: "promise"} }

// PutPromise records or changes what was promised, for when.
func (a *App) PutPromise(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Promise)) (shop.Promise, bool, error) {
	return putRecord[shop.Promise](ctx, a, who, put, promiseRules(), fill)
}

// StrikePromise strikes a promise with a reason.
func (a *App) StrikePromise(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Promise, error) {
	return strikeRecord[shop.Promise](ctx, a, who, at, reason, promiseRules(), nil)
}
