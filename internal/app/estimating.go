package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/estimate"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// priceLines reckons lines as one document: by the shop's tax categories and
// tax mode, rounded by its rule. The caller leaves struck lines out.
func priceLines(tx Tx, s shop.Shop, lines []shop.Line) (estimate.Result, error) {
	rules, err := rulesOf(tx, s)
	if err != nil {
		return estimate.Result{}, err
	}
	return priceBy(rules, lines)
}

// rulesOf gives the shop's way of reckoning. A cash rule (to_5 and the like)
// rounds what is paid; lines and tax are then rounded to the nearest minor
// unit.
func rulesOf(tx Tx, s shop.Shop) (estimate.Rules, error) {
	categories, err := list[shop.TaxCategory](tx, By{})
	if err != nil {
		return estimate.Rules{}, err
	}
	rule := money.Rounding(s.Rounding)
	rules := estimate.Rules{Currency: money.Currency(s.Currency), Mode: estimate.Mode(s.TaxMode), LineRounding: rule, TaxRounding: rule}
	if rule.Cash() {
		rules.LineRounding, rules.TaxRounding, rules.CashRounding = money.HalfUp, money.HalfUp, rule
	}
	for _, c := range categories {
		rules.Taxes = append(rules.Taxes, estimate.Tax{Category: c.Code, Rate: money.PPM(c.RatePPM), Label: c.Label})
	}
	return rules, nil
}

func priceBy(rules estimate.Rules, lines []shop.Line) (estimate.Result, error) {
	priced := make([]estimate.Line, len(lines))
	for i, l := range lines {
		priced[i] = pricedLine(l)
	}
	return estimate.Total(priced, rules)
}

// pricedLine is a line as the engine reckons it: minutes at a price an hour
// for labour, a quantity at a price each for all else.
func pricedLine(l shop.Line) estimate.Line {
	out := estimate.Line{ID: string(l.ID), Label: l.Description, Kind: estimate.LineKind(l.Kind),
		Certainty: estimate.Certainty(l.Certainty), TaxCategory: l.TaxCategory, UnitPrice: l.UnitPrice}
	if l.Kind == shop.LineKindLabour {
		out.Minutes = l.Minutes
	} else {
		out.Milli = l.QuantityMilli
	}
	if l.Certainty == shop.CertaintyPossible && l.Ceiling != nil {
		out.Ceiling = *l.Ceiling
	}
	return out
}

// Estimate gives the totals of a job's lines that are not struck.
func (a *App) Estimate(ctx context.Context, who auth.Principal, job shop.JobID) (out estimate.Result, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Job](tx, string(job)); err != nil {
			return err
		}
		s, err := load[shop.Shop](tx, string(who.ShopID))
		if err != nil {
			return err
		}
		lines, err := list[shop.Line](tx, By{"job_id": job})
		if err != nil {
			return err
		}
		out, err = priceLines(tx, s, standing(lines))
		return err
	})
	return out, err
}

// standing gives the lines that are not struck.
func standing(lines []shop.Line) []shop.Line {
	var out []shop.Line
	for _, l := range lines {
		if !l.IsStruck() && l.State != shop.LineStateStruck {
			out = append(out, l)
		}
	}
	return out
}
