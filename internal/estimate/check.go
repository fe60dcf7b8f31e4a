package estimate

import (
	"errors"
	"slices"
	"strconv"

	"benchtag/internal/fault"
	"benchtag/internal/money"
)

// check refuses what cannot be meant, the rules first.
func check(lines []Line, rules Rules) error {
	categories, err := rules.check()
	if err != nil {
		return err
	}
	if len(lines) > MaxLines {
		return fault.Invalid("estimate.lines_too_many", "/lines",
			"Split the document; it may have at most "+strconv.Itoa(MaxLines)+" lines.")
	}
	seen := make(map[string]bool, len(lines))
	for i, line := range lines {
		if line.ID == "" || seen[line.ID] {
			return fault.Invalid("estimate.line_id_invalid", pointer(i, "id"), "Give every line an id of its own.")
		}
		seen[line.ID] = true
		if !categories[line.TaxCategory] {
			return fault.Invalid("estimate.tax_category_unknown", pointer(i, "tax_category"),
				"Name a tax category that the shop has set up.")
		}
		err := line.check(i)
		if err != nil {
			return err
		}
	}
	return nil
}

// check gives the set of tax categories of valid rules.
func (r Rules) check() (map[string]bool, error) {
	if _, err := money.ParseCurrency(string(r.Currency)); err != nil {
		return nil, err
	}
	if !slices.Contains(Modes(), r.Mode) {
		return nil, fault.Invalid("estimate.mode_unknown", "/rules/mode", "Say whether prices are tax exclusive or inclusive.")
	}
	if r.LineRounding.Step() != 1 {
		return nil, errRounding("line_rounding")
	}
	if r.TaxRounding.Step() != 1 {
		return nil, errRounding("tax_rounding")
	}
	if r.CashRounding != "" && !r.CashRounding.Cash() {
		return nil, fault.Invalid("estimate.rounding_invalid", "/rules/cash_rounding",
			"Name a cash rule (to_5, to_10, to_50 or to_100), or leave it out.")
	}
	return checkTaxes(r.Taxes)
}

func errRounding(field string) error {
	return fault.Invalid("estimate.rounding_invalid", "/rules/"+field, "Name the rule: half_up, half_even, down or up.")
}

func checkTaxes(taxes []Tax) (map[string]bool, error) {
	if len(taxes) > MaxTaxes {
		return nil, fault.Invalid("estimate.taxes_too_many", "/rules/taxes",
			"Give at most "+strconv.Itoa(MaxTaxes)+" tax categories.")
	}
	seen := make(map[string]bool, len(taxes))
	for i, tax := range taxes {
		where := "/rules/taxes/" + strconv.Itoa(i)
		if tax.Category == "" || seen[tax.Category] {
			return nil, fault.Invalid("estimate.tax_category_invalid", where+"/category", "Give every tax category a name of its own.")
		}
		if tax.Rate < 0 || tax.Rate > money.Million {
			return nil, fault.Invalid("estimate.tax_rate_invalid", where+"/rate_ppm",
				"Give the tax rate in parts per million, from 0 to 1000000 (100 %).")
		}
		seen[tax.Category] = true
	}
	return seen, nil
}

// check refuses a line whose own fields cannot be meant; i is its index.
func (l Line) check(i int) error {
	if !slices.Contains(LineKinds(), l.Kind) {
		return fault.Invalid("estimate.kind_unknown", pointer(i, "kind"),
			"Name the kind: labour, part, consumable, sublet or fee.")
	}
	if !slices.Contains(Certainties(), l.Certainty) {
		return fault.Invalid("estimate.certainty_unknown", pointer(i, "certainty"), "Say whether the line is certain or possible.")
	}
	for _, n := range []struct {
		field string
		value int64
	}{
		{"quantity_milli", l.Milli},
		{"minutes", l.Minutes},
		{"unit_price_minor", int64(l.UnitPrice)},
		{"ceiling_minor", int64(l.Ceiling)},
	} {
		if n.value < 0 {
			return fault.Invalid("estimate.line_negative", pointer(i, n.field), "Give zero or more; a reduction is not a line.")
		}
	}
	return l.checkFields(i)
}

// checkFields refuses figures that the line's kind or certainty has no use for.
func (l Line) checkFields(i int) error {
	switch {
	case l.Kind == Labour && l.Milli != 0:
		return fault.Invalid("estimate.quantity_on_labour", pointer(i, "quantity_milli"),
			"Give labour in minutes, without a quantity.")
	case l.Kind != Labour && l.Minutes != 0:
		return fault.Invalid("estimate.minutes_not_labour", pointer(i, "minutes"),
			"Give a quantity; only labour has minutes.")
	case l.Certainty == Certain && l.Ceiling != 0:
		return fault.Invalid("estimate.ceiling_on_certain", pointer(i, "ceiling_minor"),
			"Leave the ceiling out; only a possible line has one.")
	}
	return nil
}

// pointer is the JSON Pointer (RFC 6901) of a line's field.
func pointer(i int, field string) string { return "/lines/" + strconv.Itoa(i) + "/" + field }

// at puts the place of a line's field on a fault of the money package.
func at(i int, field string, err error) error {
	var f *fault.Error
	if errors.As(err, &f) {
		return fault.Invalid(f.Code, pointer(i, field), f.Message)
	}
	return err
}
