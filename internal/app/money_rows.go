package app

import (
	"time"

	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// maxPages bounds a list read to its end; far above what a shop of one
// machine's visits writes.
const maxPages = 200

// every reads all rows that By selects, a page at a time: over a list that was
// cut short money would be reckoned wrong, and something unsafe could pass.
func every[T any, P interface {
	*T
	Noun
}](tx Tx, by By) ([]T, error) {
	var all []T
	after := ""
	for range maxPages {
		var rows []T
		if err := tx.List(&rows, by, Page{After: after}); err != nil {
			return nil, err
		}
		all = append(all, rows...)
		if len(rows) < MaxRows {
			return all, nil
		}
		after = P(&rows[len(rows)-1]).Key()
	}
	return nil, fault.New(fault.Meaning, "app.rows_too_many", "There are more records here than can be reckoned at once; close this work order and open another.")
}

// groupBy sorts rows into lists by a key, their order kept.
func groupBy[T any, K comparable](rows []T, key func(T) K) map[K][]T {
	out := make(map[K][]T)
	for _, r := range rows {
		out[key(r)] = append(out[key(r)], r)
	}
	return out
}

// ruleOf gives the consent rule a shop works by: the one it chose, one of its
// own, or the strict default.
func ruleOf(s shop.Shop) (consent.Rule, error) {
	if s.ConsentRule != "own" {
		return consent.Find(s.ConsentRule)
	}
	if s.OwnRule == nil {
		return consent.Strict(), nil
	}
	p := consent.Params{Kind: consent.Kind(s.OwnRule.Kind), PctBP: s.OwnRule.PctBP, Cmp: consent.Gt, Currency: s.Currency}
	if s.OwnRule.AtEqual {
		p.Cmp = consent.Ge
	}
	if s.OwnRule.Abs != nil {
		p.AbsMinor = *s.OwnRule.Abs
	}
	if s.OwnRule.Cap != nil {
		p.CapMinor = *s.OwnRule.Cap
	}
	return consent.Custom(p)
}

// forMotorcycles gives the rule that speaks for motorcycles: the strict default
// where the shop's own leaves them out.
func forMotorcycles(r consent.Rule) consent.Rule {
	reaching, _ := consent.Reaching(r, true, consent.Consumer)
	return reaching
}

// zoneOf gives the zone in which a shop's dates are meant; UTC where its name
// is not known, so that a day never ends later than the shop said by chance
// of the server's own zone.
func zoneOf(s shop.Shop) *time.Location {
	zone, err := time.LoadLocation(s.TimeZone)
	if err != nil {
		return time.UTC
	}
	return zone
}

// past reports whether a day has ended in the shop's zone. No day never ends.
func past(s shop.Shop, day shop.Date, now time.Time) bool {
	return day != "" && shop.DateOf(now, zoneOf(s)) > day
}

// endOf gives the first instant after a day in the shop's zone.
func endOf(s shop.Shop, day shop.Date) time.Time {
	t, err := time.ParseInLocation(time.DateOnly, string(day), zoneOf(s))
	if err != nil {
		return time.Time{}
	}
	return t.AddDate(0, 0, 1).UTC()
}

func currencyOf(s shop.Shop) money.Currency { return money.Currency(s.Currency) }
