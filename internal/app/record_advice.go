package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

func adviceRules() rules[shop.Advice] { return rules[shop.Advice]{noun: "advice"} }

// PutAdvice records or changes what the customer should know or do later.
func (a *App) PutAdvice(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Advice)) (shop.Advice, bool, error) {
	return putRecord[shop.Advice](ctx, a, who, put, adviceRules(), fill)
}

// StrikeAdvice strikes advice with a reason.
func (a *App) StrikeAdvice(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Advice, error) {
	return strikeRecord[shop.Advice](ctx, a, who, at, reason, adviceRules(), nil)
}
