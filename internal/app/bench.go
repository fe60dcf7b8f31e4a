package app

import (
	"context"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

// This file holds what a shop sets up once and uses daily: bays, taxes,
// labour rates and gauges.

// AddBay adds a place where a machine stands.
func (a *App) AddBay(ctx context.Context, who auth.Principal, fill func(*shop.Bay)) (shop.Bay, error) {
	return addShopRecord(ctx, a, who, bayRules(), fill)
}

// ReplaceBay changes a bay.
func (a *App) ReplaceBay(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.Bay)) (shop.Bay, error) {
	return replaceShopRecord(ctx, a, who, put, bayRules(), fill)
}

func bayRules() shopRules[shop.Bay] {
	return shopRules[shop.Bay]{noun: "bay", check: func(_ *Change, _, is *shop.Bay) error { return named(is.Name) }}
}

func named(name string) error {
	if strings.TrimSpace(name) == "" {
		return fault.Invalid("app.name_missing", "/name", "Give it the name people call it by.")
	}
	return nil
}

// maxRatePPM is the highest tax rate taken: 100 %.
const maxRatePPM = 1_000_000

// AddTaxCategory adds a tax rate.
func (a *App) AddTaxCategory(ctx context.Context, who auth.Principal, fill func(*shop.TaxCategory)) (shop.TaxCategory, error) {
	return addShopRecord(ctx, a, who, taxRules(), fill)
}

// ReplaceTaxCategory changes a tax rate. Its code, which lines refer to,
// stays: a change of the code would leave them without a tax.
func (a *App) ReplaceTaxCategory(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.TaxCategory)) (shop.TaxCategory, error) {
	return replaceShopRecord(ctx, a, who, put, taxRules(), fill)
}

func taxRules() shopRules[shop.TaxCategory] {
	return shopRules[shop.TaxCategory]{noun: "tax_category", check: checkTax}
}

func checkTax(c *Change, was, is *shop.TaxCategory) error {
	if strings.TrimSpace(is.Code) == "" || strings.TrimSpace(is.Label) == "" {
		return fault.Invalid("app.tax_unnamed", "/code", "Give a short code and the words to print.")
	}
	if is.RatePPM < 0 || is.RatePPM > maxRatePPM {
		return fault.Invalid("app.tax_rate", "/rate_ppm", "Give the rate in parts per million, 0 to 1000000; 85000 is 8.5 %.")
	}
	if was != nil {
		if is.Code != was.Code {
			return fault.Invalid("app.tax_code_fixed", "/code", "Lines refer to this code; keep it, and add another category.")
		}
		return nil
	}
	same, err := list[shop.TaxCategory](c, By{"code": is.Code})
	if err == nil && len(same) > 0 {
		taken := fault.Invalid("app.tax_code_taken", "/code", "There is a tax category with this code; choose another.")
		taken.Kind = fault.Conflict
		return taken
	}
	return err
}

// checkTaxCode makes sure that a tax category of this code exists.
func checkTaxCode(tx Tx, code, pointer string) error {
	found, err := list[shop.TaxCategory](tx, By{"code": code})
	if err == nil && len(found) == 0 {
		err = fault.Invalid("app.tax_category_unknown", pointer, "Name the code of one of the shop's tax categories.")
	}
	return err
}

// AddLabourRate adds a price for an hour of work.
func (a *App) AddLabourRate(ctx context.Context, who auth.Principal, fill func(*shop.LabourRate)) (shop.LabourRate, error) {
	return addShopRecord(ctx, a, who, rateRules(), fill)
}

// ReplaceLabourRate changes a labour rate; lines made before keep theirs.
func (a *App) ReplaceLabourRate(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.LabourRate)) (shop.LabourRate, error) {
	return replaceShopRecord(ctx, a, who, put, rateRules(), fill)
}

func rateRules() shopRules[shop.LabourRate] {
	return shopRules[shop.LabourRate]{noun: "labour_rate", check: func(c *Change, _, is *shop.LabourRate) error {
		if err := named(is.Name); err != nil {
			return err
		}
		return checkTaxCode(c, is.TaxCategory, "/tax_category")
	}}
}

// AddGauge adds a measuring tool.
func (a *App) AddGauge(ctx context.Context, who auth.Principal, fill func(*shop.Gauge)) (shop.Gauge, error) {
	return addShopRecord(ctx, a, who, gaugeRules(), fill)
}

// ReplaceGauge changes a measuring tool.
func (a *App) ReplaceGauge(ctx context.Context, who auth.Principal, put ShopPut, fill func(*shop.Gauge)) (shop.Gauge, error) {
	return replaceShopRecord(ctx, a, who, put, gaugeRules(), fill)
}

func gaugeRules() shopRules[shop.Gauge] {
	return shopRules[shop.Gauge]{noun: "gauge", check: checkGauge}
}

// checkGauge refuses a gauge whose figures cannot be reckoned with: its
// resolution and uncertainty are widths, so above zero.
func checkGauge(_ *Change, _, is *shop.Gauge) error {
	if err := named(is.Name); err != nil {
		return err
	}
	if is.CalibratedOn != "" && is.CalibrationDueOn != "" && is.CalibrationDueOn <= is.CalibratedOn {
		return fault.Invalid("app.calibration_order", "/calibration_due_on", "The next calibration is due after the last one.")
	}
	if err := checkWidth("/resolution", is.Resolution); err != nil {
		return err
	}
	return checkWidth("/uncertainty", is.Uncertainty)
}

func checkWidth(pointer string, q shop.Quantity) error {
	if q.IsZero() {
		return nil
	}
	got, err := measure.Read(measure.Parts{Value: q.Value, Unit: q.Unit, Entered: q.Entered})
	if err != nil || got.Value.Sign() <= 0 {
		return fault.Invalid("app.gauge_width", pointer, "Give a value above zero with its unit, or leave it out.")
	}
	return nil
}
