package app

import (
	"context"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// ownRuleID is what consent_rule says where the shop's own rule counts.
const ownRuleID = "own"

// ReplaceShop changes the shop's own record. Currency, slug and whether the
// shop is a demo are fixed.
func (a *App) ReplaceShop(ctx context.Context, who auth.Principal, match int64, fill func(*shop.Shop)) (shop.Shop, error) {
	put := ShopPut{ID: string(who.ShopID), Match: match}
	return replaceShopRecord(ctx, a, who, put, shopRules[shop.Shop]{noun: "shop", check: checkShop}, fill)
}

func checkShop(_ *Change, was, is *shop.Shop) error {
	is.ID, is.Currency, is.Slug, is.Demo = was.ID, was.Currency, was.Slug, was.Demo
	if err := oneLine(map[string]*string{"/name": &is.Name, "/phone": &is.Phone, "/email": &is.Email}); err != nil {
		return err
	}
	if !plausibleEmail(is.Email) {
		return fault.Invalid("app.email_wrong", "/email", "This is not an e-mail address; it looks like name@example.org.")
	}
	if strings.TrimSpace(is.Name) == "" {
		return fault.Invalid("app.name_missing", "/name", "Give the shop's name.")
	}
	if _, err := money.ParseRounding(is.Rounding); err != nil {
		return at(err, "/rounding")
	}
	if err := checkZone(is.TimeZone); err != nil {
		return err
	}
	_, err := RuleOf(*is)
	return err
}

// RuleOf gives the consent rule a shop has chosen: the strict default where
// it has chosen none, its own where it made one. A rule whose amounts are in
// another currency cannot be reckoned with.
func RuleOf(s shop.Shop) (consent.Rule, error) {
	if s.ConsentRule == ownRuleID {
		return ownRule(s)
	}
	if s.OwnRule != nil { // kept for later, so it must hold as well
		if _, err := ownRule(s); err != nil {
			return consent.Rule{}, err
		}
	}
	rule, err := consent.Find(s.ConsentRule)
	if err != nil {
		return rule, err
	}
	if rule.Currency != "" && rule.Currency != s.Currency {
		return rule, fault.Invalid("app.rule_currency", "/consent_rule", "This rule names amounts in "+rule.Currency+", and the shop reckons in "+s.Currency+"; choose another, or make one of your own.")
	}
	return rule, nil
}

func ownRule(s shop.Shop) (consent.Rule, error) {
	own := s.OwnRule
	if own == nil {
		return consent.Rule{}, fault.Invalid("app.own_rule_missing", "/own_rule", "Give the shop's own rule, or choose one from the list.")
	}
	p := consent.Params{Kind: consent.Kind(own.Kind), PctBP: own.PctBP, Cmp: consent.Gt}
	if own.AtEqual {
		p.Cmp = consent.Ge
	}
	if own.Abs != nil {
		p.AbsMinor, p.Currency = *own.Abs, s.Currency
	}
	if own.Cap != nil {
		p.CapMinor, p.Currency = *own.Cap, s.Currency
	}
	rule, err := consent.Custom(p)
	if err != nil {
		return rule, at(err, "/own_rule")
	}
	return rule, nil
}
