package estimate_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/estimate"
	"benchtag/internal/money"
)

func TestWorkingOfARange(t *testing.T) {
	t.Parallel()
	lines := []estimate.Line{
		{ID: "1", Label: "Fit cam chain", Kind: estimate.Labour, Certainty: estimate.Certain, TaxCategory: "standard", Minutes: 95, UnitPrice: 9000},
		{ID: "2", Label: "Engine oil", Kind: estimate.Consumable, Certainty: estimate.Certain, TaxCategory: "standard", Milli: 3250, UnitPrice: 1200},
		{ID: "3", Label: "Oil pump", Kind: estimate.Part, Certainty: estimate.Possible, TaxCategory: "standard", Milli: 1000, UnitPrice: 8000, Ceiling: 10000},
		{ID: "4", Kind: estimate.Fee, Certainty: estimate.Possible, TaxCategory: "standard", Milli: 1005, UnitPrice: 0},
	}
	rules := validRules()
	rules.CashRounding = money.To5
	result, err := estimate.Total(lines, rules)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"Amounts in USD. Prices are before tax; tax is added to each tax category's subtotal. Lines round to the nearest, halves up; tax rounds to the nearest, halves up, once per category.",
		"Fit cam chain: 95 min × 90.00 an hour ÷ 60 = 142.50.",
		"Engine oil: 3.25 × 12.00 = 39.00.",
		"Oil pump: 1 × 80.00 = 80.00; only if found: from 0 to its ceiling, 100.00.",
		"4: 1.005 × 0.00 = 0.00; only if found: from 0 to 0.00.",
		"At least, without the possible lines: Sales tax on 181.50 × 20 % = 36.30.",
		"At least, without the possible lines: 181.50 net + 36.30 tax + 0.00 rounding to a multiple of 0.05 = 217.80.",
		"At most, with every possible line: Sales tax on 281.50 × 20 % = 56.30.",
		"At most, with every possible line: 281.50 net + 56.30 tax + 0.00 rounding to a multiple of 0.05 = 337.80.",
	}
	if diff := cmp.Diff(want, result.Working); diff != "" {
		t.Errorf("working (-want +got):\n%s", diff)
	}
	wantWarnings := []string{
		"4: possible, without a ceiling; the high total takes quantity and price as the most.",
		"4: no price; say so if it is free of charge.",
	}
	if diff := cmp.Diff(wantWarnings, result.Warnings); diff != "" {
		t.Errorf("warnings (-want +got):\n%s", diff)
	}
}

func TestWorkingWithTaxInside(t *testing.T) {
	t.Parallel()
	line := valid()
	line.UnitPrice = 10000
	rules := validRules()
	rules.Mode, rules.TaxRounding = estimate.Inclusive, money.HalfEven
	rules.Taxes = []estimate.Tax{{Category: "standard", Rate: 190000}}
	result, err := estimate.Total([]estimate.Line{line}, rules)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"Amounts in USD. Prices contain tax; it is taken out of each tax category's subtotal. Lines round to the nearest, halves up; tax rounds to the nearest, halves to even, once per category.",
		"l1: 1 × 100.00 = 100.00.",
		"Total: standard in 100.00 × 19 % ÷ (100 % + 19 %) = 15.97, leaving 84.03 net.",
		"Total: 84.03 net + 15.97 tax = 100.00.",
	}
	if diff := cmp.Diff(want, result.Working); diff != "" {
		t.Errorf("working (-want +got):\n%s", diff)
	}
	if len(result.Warnings) != 0 {
		t.Errorf("warnings %v, want none", result.Warnings)
	}
}

func TestWarnings(t *testing.T) {
	t.Parallel()
	possible := valid()
	possible.Certainty, possible.Ceiling = estimate.Possible, 6000
	empty := valid()
	empty.Milli = 0
	tests := []struct {
		name  string
		lines []estimate.Line
		want  []string
	}{
		{"no lines", nil, []string{"The document has no lines; its total of zero says nothing."}},
		{"nothing certain", []estimate.Line{possible}, []string{"Every line is only possible; the low total is zero."}},
		{"no quantity", []estimate.Line{empty}, []string{"l1: no quantity or time."}},
		{"nothing to say", []estimate.Line{valid()}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			result, err := estimate.Total(tt.lines, validRules())
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, result.Warnings); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}
