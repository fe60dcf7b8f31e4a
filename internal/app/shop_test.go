package app_test

import (
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/consent"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func TestReplaceShop(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	_, owner := d.mustSignIn("orla")
	fifty := int64(5000)
	for _, tt := range []struct {
		name, code string
		fill       func(*shop.Shop)
	}{
		{"rounding", "money.rounding_unknown", func(n *shop.Shop) { n.Rounding = "sideways" }},
		{"zone", "app.time_zone_unknown", func(n *shop.Shop) { n.TimeZone = "Middle/Nowhere" }},
		{"the machine's zone", "app.time_zone_unknown", func(n *shop.Shop) { n.TimeZone = "Local" }},
		{"rule", "consent.rule_unknown", func(n *shop.Shop) { n.ConsentRule = "XX-NO" }},
		{"no own rule", "app.own_rule_missing", func(n *shop.Shop) { n.ConsentRule = "own" }},
		{"bad own rule", "consent.params_invalid", func(n *shop.Shop) { n.ConsentRule, n.OwnRule = "own", &shop.OwnRule{Kind: "abs"} }},
		{"bad own rule kept", "consent.params_invalid", func(n *shop.Shop) { n.OwnRule = &shop.OwnRule{Kind: "nonsense"} }},
		{"no name", "app.name_missing", func(n *shop.Shop) { n.Name = "" }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := d.ReplaceShop(t.Context(), owner, 1, tt.fill)
			wantFault(t, err, tt.code)
		})
	}
	n, err := d.ReplaceShop(t.Context(), owner, 1, func(n *shop.Shop) {
		n.Name, n.Slug, n.Currency, n.Demo = "Kettle Lane", "other", "EUR", true
		n.ConsentRule, n.OwnRule = "own", &shop.OwnRule{Kind: "abs", Abs: &fifty, AtEqual: true}
	})
	if err != nil {
		t.Fatal(err)
	}
	if n.Slug != "kettle-lane" || n.Currency != "USD" || n.Demo || n.Name != "Kettle Lane" || n.Version != 2 {
		t.Errorf("changed to %+v", n)
	}
	rule, err := app.RuleOf(n)
	if err != nil || rule.Overage.AbsMinor != 5000 || rule.Overage.Cmp != consent.Ge || rule.Currency != "USD" {
		t.Errorf("the rule is %+v, %v", rule, err)
	}
	_, err = d.ReplaceShop(t.Context(), owner, 1, func(*shop.Shop) {})
	wantFault(t, err, "store.version_stale")
}

// Every rule on the list can be chosen by a shop of its currency, and those
// with amounts by no other.
func TestEveryRuleCanBeChosen(t *testing.T) {
	t.Parallel()
	rules, err := consent.Rules()
	if err != nil || len(rules) < 2 {
		t.Fatalf("%d rules, %v", len(rules), err)
	}
	bound := 0
	for _, r := range rules {
		s := shop.Shop{Currency: r.Currency, ConsentRule: r.ID}
		if got, err := app.RuleOf(s); err != nil || got.ID != r.ID {
			t.Errorf("%s: %v", r.ID, err)
		}
		s.Currency = "XAF"
		_, err := app.RuleOf(s)
		if r.Currency == "" {
			if err != nil {
				t.Errorf("%s: %v", r.ID, err)
			}
			continue
		}
		bound++
		wantFault(t, err, "app.rule_currency")
	}
	if bound == 0 {
		t.Error("no rule names a currency")
	}
	if got, err := app.RuleOf(shop.Shop{Currency: "USD"}); err != nil || got.ID != consent.StrictID {
		t.Errorf("a shop that chose none has %s, %v", got.ID, err)
	}
}

func TestTaxesRatesAndGauges(t *testing.T) {
	t.Parallel()
	d := openDesk(t)
	_, owner := d.mustSignIn("orla")
	ctx := t.Context()
	tax, err := d.AddTaxCategory(ctx, owner, func(n *shop.TaxCategory) { n.Code, n.Label, n.RatePPM = "parts", "Parts tax", 85_000 })
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.AddTaxCategory(ctx, owner, func(n *shop.TaxCategory) { n.Code, n.Label = "parts", "Again" })
	wantFault(t, err, "app.tax_code_taken")
	_, err = d.AddTaxCategory(ctx, owner, func(n *shop.TaxCategory) { n.Code, n.Label, n.RatePPM = "much", "Much", 1_000_001 })
	wantFault(t, err, "app.tax_rate")
	_, err = d.AddTaxCategory(ctx, owner, func(n *shop.TaxCategory) { n.Code = "bare" })
	wantFault(t, err, "app.tax_unnamed")
	put := app.ShopPut{ID: string(tax.ID), Match: 1}
	_, err = d.ReplaceTaxCategory(ctx, owner, put, func(n *shop.TaxCategory) { n.Code = "other" })
	wantFault(t, err, "app.tax_code_fixed")
	if _, err := d.ReplaceTaxCategory(ctx, owner, put, func(n *shop.TaxCategory) { n.RatePPM = 90_000 }); err != nil {
		t.Error(err)
	}
	rate := func(code string) error {
		_, err := d.AddLabourRate(ctx, owner, func(n *shop.LabourRate) { n.Name, n.PerHour, n.TaxCategory = "Bench", money.Amount(9_000), code })
		return err
	}
	wantFault(t, rate("nowhere"), "app.tax_category_unknown")
	if err := rate("parts"); err != nil {
		t.Error(err)
	}
	gauge := func(resolution shop.Quantity, due shop.Date) error {
		_, err := d.AddGauge(ctx, owner, func(n *shop.Gauge) {
			n.Name, n.Kind, n.Resolution, n.CalibratedOn, n.CalibrationDueOn = "Micrometer 1", "outside micrometer", resolution, "2026-01-01", due
		})
		return err
	}
	wantFault(t, gauge(shop.Quantity{Value: "0", Unit: "mm", Entered: "0 mm"}, ""), "app.gauge_width")
	wantFault(t, gauge(shop.Quantity{}, "2025-01-01"), "app.calibration_order")
	if err := gauge(shop.Quantity{Value: "0.001", Unit: "mm", Entered: "0.001 mm"}, "2027-01-01"); err != nil {
		t.Error(err)
	}
	page, err := app.ShopRecordsOf[shop.TaxCategory](ctx, d.App, owner, app.By{"code": "parts"}, app.Page{Limit: 1})
	if err != nil || len(page) != 1 || page[0].RatePPM != 90_000 {
		t.Errorf("%+v, %v", page, err)
	}
	_, err = app.ShopRecordOf[shop.Bay](ctx, d.App, owner, "018f0000-0000-7000-8000-000000000001")
	wantFault(t, err, "shop.not_found")
}
