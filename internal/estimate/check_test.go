package estimate_test

import (
	"errors"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/estimate"
	"benchtag/internal/fault"
	"benchtag/internal/money"
)

func valid() estimate.Line {
	return estimate.Line{ID: "l1", Kind: estimate.Part, Certainty: estimate.Certain,
		TaxCategory: "standard", Milli: 1000, UnitPrice: 5000}
}

func validRules() estimate.Rules {
	return estimate.Rules{Currency: "USD", Mode: estimate.Exclusive,
		Taxes:        []estimate.Tax{{Category: "standard", Rate: 200000, Label: "Sales tax"}},
		LineRounding: money.HalfUp, TaxRounding: money.HalfUp}
}

func TestLinesRefused(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name    string
		change  func(*estimate.Line)
		code    string
		pointer string
	}{
		{"no id", func(l *estimate.Line) { l.ID = "" }, "estimate.line_id_invalid", "id"},
		{"id twice", func(l *estimate.Line) { l.ID = "l1" }, "estimate.line_id_invalid", "id"},
		{"kind", func(l *estimate.Line) { l.Kind = "gift" }, "estimate.kind_unknown", "kind"},
		{"no kind", func(l *estimate.Line) { l.Kind = "" }, "estimate.kind_unknown", "kind"},
		{"certainty", func(l *estimate.Line) { l.Certainty = "maybe" }, "estimate.certainty_unknown", "certainty"},
		{"tax category", func(l *estimate.Line) { l.TaxCategory = "none" }, "estimate.tax_category_unknown", "tax_category"},
		{"quantity below zero", func(l *estimate.Line) { l.Milli = -1 }, "estimate.line_negative", "quantity_milli"},
		{"price below zero", func(l *estimate.Line) { l.UnitPrice = -1 }, "estimate.line_negative", "unit_price_minor"},
		{"minutes below zero", func(l *estimate.Line) { l.Kind, l.Milli, l.Minutes = estimate.Labour, 0, -1 }, "estimate.line_negative", "minutes"},
		{"ceiling below zero", func(l *estimate.Line) { l.Certainty, l.Ceiling = estimate.Possible, -1 }, "estimate.line_negative", "ceiling_minor"},
		{"labour with a quantity", func(l *estimate.Line) { l.Kind = estimate.Labour }, "estimate.quantity_on_labour", "quantity_milli"},
		{"part with minutes", func(l *estimate.Line) { l.Minutes = 5 }, "estimate.minutes_not_labour", "minutes"},
		{"certain with a ceiling", func(l *estimate.Line) { l.Ceiling = 9000 }, "estimate.ceiling_on_certain", "ceiling_minor"},
		{"ceiling too low", func(l *estimate.Line) { l.Certainty, l.Ceiling = estimate.Possible, 4999 }, "estimate.ceiling_too_low", "ceiling_minor"},
		{"too large", func(l *estimate.Line) { l.UnitPrice, l.Milli = 1<<62, 9000 }, "money.amount_too_large", "unit_price_minor"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			line := valid()
			line.ID = "l2"
			tt.change(&line)
			_, err := estimate.Total([]estimate.Line{valid(), line}, validRules())
			refused(t, err, tt.code, "/lines/1/"+tt.pointer)
		})
	}
}

// refused checks code, kind and the one place pointed at.
func refused(t *testing.T, err error, code, pointer string) {
	t.Helper()
	var f *fault.Error
	if !errors.As(err, &f) || f.Code != code || f.Kind != fault.Meaning {
		t.Fatalf("%v, want %s", err, code)
	}
	if len(f.Fields) != 1 || f.Fields[0].Pointer != pointer || !strings.HasSuffix(f.Message, ".") {
		t.Errorf("fields %v, message %q; want pointer %s", f.Fields, f.Message, pointer)
	}
}

func TestRulesRefused(t *testing.T) {
	t.Parallel()
	many := make([]estimate.Tax, estimate.MaxTaxes+1)
	for i := range many {
		many[i].Category = strconv.Itoa(i)
	}
	tests := []struct {
		name    string
		change  func(*estimate.Rules)
		code    string
		pointer string
	}{
		{"mode", func(r *estimate.Rules) { r.Mode = "" }, "estimate.mode_unknown", "mode"},
		{"line rounding", func(r *estimate.Rules) { r.LineRounding = "" }, "estimate.rounding_invalid", "line_rounding"},
		{"line rounding by cash", func(r *estimate.Rules) { r.LineRounding = money.To5 }, "estimate.rounding_invalid", "line_rounding"},
		{"tax rounding by cash", func(r *estimate.Rules) { r.TaxRounding = money.To100 }, "estimate.rounding_invalid", "tax_rounding"},
		{"cash rounding", func(r *estimate.Rules) { r.CashRounding = money.HalfUp }, "estimate.rounding_invalid", "cash_rounding"},
		{"cash rounding unknown", func(r *estimate.Rules) { r.CashRounding = "to_7" }, "estimate.rounding_invalid", "cash_rounding"},
		{"category empty", func(r *estimate.Rules) { r.Taxes = []estimate.Tax{{}} }, "estimate.tax_category_invalid", "taxes/0/category"},
		{"category twice", func(r *estimate.Rules) { r.Taxes = append(r.Taxes, r.Taxes[0]) }, "estimate.tax_category_invalid", "taxes/1/category"},
		{"rate below zero", func(r *estimate.Rules) { r.Taxes[0].Rate = -1 }, "estimate.tax_rate_invalid", "taxes/0/rate_ppm"},
		{"rate too high", func(r *estimate.Rules) { r.Taxes[0].Rate = 1000001 }, "estimate.tax_rate_invalid", "taxes/0/rate_ppm"},
		{"too many", func(r *estimate.Rules) { r.Taxes = many }, "estimate.taxes_too_many", "taxes"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			rules := validRules()
			tt.change(&rules)
			_, err := estimate.Total([]estimate.Line{valid()}, rules)
			refused(t, err, tt.code, "/rules/"+tt.pointer)
		})
	}
}

func TestUnknownCurrencyRefused(t *testing.T) {
	t.Parallel()
	rules := validRules()
	rules.Currency = "XXX"
	_, err := estimate.Total([]estimate.Line{valid()}, rules)
	if got := codeOf(err); got != "money.currency_unknown" {
		t.Errorf("%q", got)
	}
}

func TestTooManyLinesRefused(t *testing.T) {
	t.Parallel()
	lines := make([]estimate.Line, estimate.MaxLines+1)
	for i := range lines {
		lines[i] = valid()
		lines[i].ID = strconv.Itoa(i)
	}
	_, err := estimate.Total(lines[1:], validRules())
	if err != nil {
		t.Errorf("the largest document allowed: %v", err)
	}
	_, err = estimate.Total(lines, validRules())
	refused(t, err, "estimate.lines_too_many", "/lines")
}

// TestListsAreComplete names every value once more, so that one added to the
// constants but not to its list, or the other way round, is seen.
func TestListsAreComplete(t *testing.T) {
	t.Parallel()
	want := []any{
		[]estimate.LineKind{"labour", "part", "consumable", "sublet", "fee"},
		[]estimate.Certainty{"certain", "possible"},
		[]estimate.Mode{"exclusive", "inclusive"},
	}
	got := []any{estimate.LineKinds(), estimate.Certainties(), estimate.Modes()}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
