package app

import (
	"context"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func checkRules() rules[shop.Check] { return rules[shop.Check]{noun: "check"} }

// PutCheck records or changes a quick look.
func (a *App) PutCheck(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Check)) (shop.Check, bool, error) {
	return putRecord[shop.Check](ctx, a, who, put, checkRules(), fill)
}

// StrikeCheck strikes a quick look with a reason.
func (a *App) StrikeCheck(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Check, error) {
	return strikeRecord[shop.Check](ctx, a, who, at, reason, checkRules(), nil)
}

func asFoundRules() rules[shop.AsFound] {
	return rules[shop.AsFound]{noun: "as_found", check: checkAsFound}
}

// PutAsFound records or changes a reading taken before the first bolt.
func (a *App) PutAsFound(ctx context.Context, who auth.Principal, put Put, fill func(*shop.AsFound)) (shop.AsFound, bool, error) {
	return putRecord[shop.AsFound](ctx, a, who, put, asFoundRules(), fill)
}

// StrikeAsFound strikes such a reading with a reason.
func (a *App) StrikeAsFound(ctx context.Context, who auth.Principal, at Place, reason string) (shop.AsFound, error) {
	return strikeRecord[shop.AsFound](ctx, a, who, at, reason, asFoundRules(), nil)
}

// checkAsFound refuses a reading that reads nothing.
func checkAsFound(_ *JobChange, _, is *shop.AsFound) error {
	if is.Reading.IsZero() && empty(is.Mark) && empty(is.WaivedBecause) {
		return fault.Invalid("app.as_found_empty", "/reading", "Give the reading, the mark in words, or why it was not taken.")
	}
	return nil
}

func empty(text string) bool { return strings.TrimSpace(text) == "" }
