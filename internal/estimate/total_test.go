package estimate_test

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/estimate"
	"benchtag/internal/fault"
	"benchtag/internal/money"
)

func codeOf(err error) string {
	var f *fault.Error
	if errors.As(err, &f) {
		return f.Code
	}
	if err != nil {
		return "unclassified: " + err.Error()
	}
	return ""
}

// drawRules draws valid rules with the tax categories "a", "b" and "c".
func drawRules(t *rapid.T) estimate.Rules {
	whole := []money.Rounding{money.HalfUp, money.HalfEven, money.Down, money.Up}
	rules := estimate.Rules{
		Currency:     rapid.SampledFrom([]money.Currency{"USD", "JPY", "KWD"}).Draw(t, "currency"),
		Mode:         rapid.SampledFrom(estimate.Modes()).Draw(t, "mode"),
		LineRounding: rapid.SampledFrom(whole).Draw(t, "line rounding"),
		TaxRounding:  rapid.SampledFrom(whole).Draw(t, "tax rounding"),
		CashRounding: rapid.SampledFrom([]money.Rounding{"", money.To5, money.To10, money.To50, money.To100}).Draw(t, "cash"),
	}
	for _, category := range []string{"a", "b", "c"} {
		rate := rapid.OneOf(rapid.SampledFrom([]int64{0, 50000, 88750, 200000, 1000000}), rapid.Int64Range(0, 1000000))
		rules.Taxes = append(rules.Taxes, estimate.Tax{Category: category, Rate: money.PPM(rate.Draw(t, "rate"))})
	}
	return rules
}

// drawLine draws a valid line; small values are likely, so that ties are met.
func drawLine(t *rapid.T, id string) estimate.Line {
	count := rapid.OneOf(rapid.Int64Range(0, 9), rapid.Int64Range(0, 100_000))
	line := estimate.Line{
		ID:          id,
		Kind:        rapid.SampledFrom(estimate.LineKinds()).Draw(t, "kind"),
		Certainty:   rapid.SampledFrom(estimate.Certainties()).Draw(t, "certainty"),
		TaxCategory: rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "category"),
		UnitPrice:   money.Amount(count.Draw(t, "price")),
	}
	if line.Kind == estimate.Labour {
		line.Minutes = count.Draw(t, "minutes")
	} else {
		line.Milli = rapid.OneOf(count, rapid.SampledFrom([]int64{500, 1000, 2000})).Draw(t, "milli")
	}
	if line.Certainty == estimate.Possible && rapid.Bool().Draw(t, "has ceiling") {
		line.Ceiling = money.Amount(naiveAmount(line, money.Up).Int64() + count.Draw(t, "room"))
	}
	return line
}

func drawLines(t *rapid.T) []estimate.Line {
	lines := make([]estimate.Line, rapid.IntRange(0, 10).Draw(t, "lines"))
	for i := range lines {
		lines[i] = drawLine(t, "line-"+strconv.Itoa(i))
	}
	return lines
}

func mustTotal(t *rapid.T, lines []estimate.Line, rules estimate.Rules) estimate.Result {
	t.Helper()
	result, err := estimate.Total(lines, rules)
	if err != nil {
		t.Fatalf("Total: %v", err)
	}
	return result
}

func TestAgreesWithReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rules, lines := drawRules(t), drawLines(t)
		result := mustTotal(t, lines, rules)
		for _, high := range []bool{false, true} {
			if diff := cmp.Diff(naiveTotal(lines, rules, high), simplified(result, high)); diff != "" {
				t.Fatalf("high %v (-reference +engine):\n%s", high, diff)
			}
		}
		for i, line := range lines {
			got := [3]string{digits(result.Lines[i].Amount), digits(result.Lines[i].Low), digits(result.Lines[i].High)}
			want := [3]string{naiveAmount(line, rules.LineRounding).String(),
				naiveEnd(line, rules, false).String(), naiveEnd(line, rules, true).String()}
			if got != want || result.Lines[i].ID != line.ID || result.Lines[i].Kind != line.Kind {
				t.Fatalf("line %d: %v, want %v", i, got, want)
			}
		}
	})
}

// sumHolds checks everything that must add up inside one total.
func sumHolds(t interface{ Fatalf(string, ...any) }, sum estimate.Sum, shares []estimate.Share) {
	if sum.Net+sum.Tax+sum.RoundingDifference != sum.Gross {
		t.Fatalf("net %d + tax %d + difference %d is not gross %d", sum.Net, sum.Tax, sum.RoundingDifference, sum.Gross)
	}
	whole := estimate.Share{Net: sum.Net, Tax: sum.Tax, Gross: sum.Net + sum.Tax}
	var categories, kinds []estimate.Share
	for _, c := range sum.ByCategory {
		categories = append(categories, c.Share)
	}
	for _, k := range sum.ByKind {
		kinds = append(kinds, k.Share)
	}
	for name, parts := range map[string][]estimate.Share{"categories": categories, "kinds": kinds, "lines": shares} {
		var got estimate.Share
		for _, p := range parts {
			if p.Net < 0 || p.Tax < 0 || p.Net+p.Tax != p.Gross {
				t.Fatalf("%s: share %+v does not hold together", name, p)
			}
			got.Net, got.Tax, got.Gross = got.Net+p.Net, got.Tax+p.Tax, got.Gross+p.Gross
		}
		if got != whole {
			t.Fatalf("%s sum to %+v, want %+v", name, got, whole)
		}
	}
}

func resultHolds(t interface{ Fatalf(string, ...any) }, result estimate.Result) {
	var low, high []estimate.Share
	for _, line := range result.Lines {
		low, high = append(low, line.Shares.Low), append(high, line.Shares.High)
	}
	sumHolds(t, result.Totals.Low, low)
	sumHolds(t, result.Totals.High, high)
	if result.Totals.Low.Gross > result.Totals.High.Gross || result.Totals.Low.Net > result.Totals.High.Net {
		t.Fatalf("low %+v lies above high %+v", result.Totals.Low, result.Totals.High)
	}
}

func TestEverythingAddsUp(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		resultHolds(t, mustTotal(t, drawLines(t), drawRules(t)))
	})
}

func TestLineOrderDoesNotMatter(t *testing.T) {
	t.Parallel()
	byID := func(a, b estimate.LineResult) int { return strings.Compare(a.ID, b.ID) }
	rapid.Check(t, func(t *rapid.T) {
		rules, lines := drawRules(t), drawLines(t)
		first, again := mustTotal(t, lines, rules), mustTotal(t, rapid.Permutation(lines).Draw(t, "order"), rules)
		slices.SortFunc(first.Lines, byID)
		slices.SortFunc(again.Lines, byID)
		slices.Sort(first.Warnings)
		slices.Sort(again.Warnings)
		slices.Sort(first.Working)
		slices.Sort(again.Working)
		if diff := cmp.Diff(first, again); diff != "" {
			t.Fatalf("(-one order +another):\n%s", diff)
		}
	})
}

func TestAddingALineNeverLowersATotal(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rules, lines := drawRules(t), drawLines(t)
		before := mustTotal(t, lines, rules).Totals
		after := mustTotal(t, append(lines, drawLine(t, "one more")), rules).Totals
		for _, p := range [][2]estimate.Sum{{before.Low, after.Low}, {before.High, after.High}} {
			if p[1].Net < p[0].Net || p[1].Tax < p[0].Tax || p[1].Gross < p[0].Gross {
				t.Fatalf("before %+v, after %+v", p[0], p[1])
			}
		}
	})
}

func TestScopesSumToTheDocument(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		result := mustTotal(t, drawLines(t), drawRules(t))
		scopes := make([][]string, 3)
		for _, line := range result.Lines {
			n := rapid.IntRange(0, 2).Draw(t, "scope")
			scopes[n] = append(scopes[n], line.ID)
		}
		var low, high []estimate.Share
		for _, ids := range scopes {
			part, err := result.Part(ids)
			if err != nil {
				t.Fatalf("Part: %v", err)
			}
			low, high = append(low, part.Low), append(high, part.High)
		}
		sumHolds(t, result.Totals.Low, low)
		sumHolds(t, result.Totals.High, high)
	})
}

func TestPartRefuses(t *testing.T) {
	t.Parallel()
	result, err := estimate.Total([]estimate.Line{valid()}, validRules())
	if err != nil {
		t.Fatal(err)
	}
	for code, ids := range map[string][]string{
		"estimate.part_line_unknown": {"elsewhere"},
		"estimate.part_line_twice":   {"l1", "l1"},
		"":                           {},
	} {
		_, err := result.Part(ids)
		if got := codeOf(err); got != code {
			t.Errorf("Part(%v): %q, want %q", ids, got, code)
		}
	}
}

func TestOverflowIsRefused(t *testing.T) {
	t.Parallel()
	huge := valid()
	huge.UnitPrice = math.MaxInt64
	second := huge
	second.ID = "l2"
	other := second
	other.TaxCategory = "other"
	dozen := huge
	dozen.Milli = 12000
	untaxed := validRules()
	untaxed.Taxes = []estimate.Tax{{Category: "standard"}, {Category: "other"}}
	cash := untaxed
	cash.CashRounding = money.To10
	tests := []struct {
		name  string
		lines []estimate.Line
		rules estimate.Rules
		want  string
	}{
		{"fits", []estimate.Line{huge}, untaxed, ""},
		{"one line", []estimate.Line{dozen}, untaxed, "money.amount_too_large"},
		{"subtotal", []estimate.Line{huge, second}, untaxed, "money.amount_too_large"},
		{"across categories", []estimate.Line{huge, other}, untaxed, "money.amount_too_large"},
		{"tax on top", []estimate.Line{huge}, validRules(), "money.amount_too_large"},
		{"cash rounding", []estimate.Line{huge}, cash, "money.amount_too_large"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			result, err := estimate.Total(tt.lines, tt.rules)
			if got := codeOf(err); got != tt.want {
				t.Errorf("%q, want %q", got, tt.want)
			}
			if err != nil && len(result.Lines) != 0 {
				t.Error("a refused document still gave lines")
			}
		})
	}
}

func FuzzTotal(f *testing.F) {
	for _, v := range loadVectors(f) {
		f.Add([]byte(v.In))
	}
	f.Add([]byte(`{"lines":[{"id":"x","kind":"part","certainty":"certain","tax_category":"","unit_price_minor":9223372036854775807}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var in input
		err := json.Unmarshal(data, &in)
		if err != nil {
			return
		}
		result, err := estimate.Total(in.Lines, in.Rules)
		if err != nil {
			if !fault.Is(err, fault.Meaning) {
				t.Fatalf("%v is not a Meaning error", err)
			}
			return
		}
		resultHolds(t, result)
		for _, high := range []bool{false, true} {
			if diff := cmp.Diff(naiveTotal(in.Lines, in.Rules, high), simplified(result, high)); diff != "" {
				t.Fatalf("high %v (-reference +engine):\n%s", high, diff)
			}
		}
	})
}

func BenchmarkTotal500(b *testing.B) {
	lines := make([]estimate.Line, 500)
	for i := range lines {
		lines[i] = valid()
		lines[i].ID, lines[i].UnitPrice = "line-"+strconv.Itoa(i), money.Amount(1234+i)
	}
	for b.Loop() {
		_, err := estimate.Total(lines, validRules())
		if err != nil {
			b.Fatal(err)
		}
	}
}
