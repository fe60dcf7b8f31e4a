package money_test

import (
	"errors"
	"math"
	"math/big"
	"slices"
	"strings"
	"testing"

	"github.com/bojanz/currency"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/money"
)

// codeOf is the stable code of an error, "" for none.
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

func TestCurrenciesAgreeWithCLDR(t *testing.T) {
	t.Parallel()
	var got []string
	for _, c := range money.Currencies() {
		got = append(got, string(c))
		want, known := currency.GetDigits(string(c))
		if !known || int(want) != c.Digits() || !c.Known() {
			t.Errorf("%s: %d digits, CLDR says %d (known %v)", c, c.Digits(), want, known)
		}
	}
	want := currency.GetCurrencyCodes()
	want = slices.Clone(want)
	slices.Sort(want)
	slices.Sort(got)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("codes (-CLDR +ours):\n%s", diff)
	}
}

func TestParseCurrency(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "usd", "US", "USDX", "XAU", "XXX", "D A", " US", "LAF", "ABC", "   "} {
		_, err := money.ParseCurrency(text)
		if got := codeOf(err); got != "money.currency_unknown" {
			t.Errorf("%q: %q", text, got)
		}
	}
	got, err := money.ParseCurrency("KWD")
	if err != nil || got.Digits() != 3 {
		t.Errorf("KWD: %v digits, %v", got.Digits(), err)
	}
	if got := money.Currency("???").Digits(); got != 2 {
		t.Errorf("unknown code has %d digits, want 2", got)
	}
}

func TestParse(t *testing.T) {
	t.Parallel()
	tests := []struct {
		text     string
		currency money.Currency
		want     money.Amount
		wantErr  string
	}{
		{"1234.50", "USD", 123450, ""},
		{"12", "USD", 1200, ""},
		{"12.5", "USD", 1250, ""},
		{"0", "USD", 0, ""},
		{"-0.00", "USD", 0, ""},
		{"-0.01", "USD", -1, ""},
		{"1200", "JPY", 1200, ""},
		{"1.234", "KWD", 1234, ""},
		{"1.2345", "CLF", 12345, ""},
		{"92233720368547758.07", "USD", math.MaxInt64, ""},
		{"-92233720368547758.08", "USD", math.MinInt64, ""},
		{"92233720368547758.08", "USD", 0, "money.amount_too_large"},
		{"-92233720368547758.09", "USD", 0, "money.amount_too_large"},
		{"184467440737095516.16", "USD", 0, "money.amount_too_large"},
		{strings.Repeat("9", 400), "USD", 0, "money.amount_too_large"},
		{"1.234", "USD", 0, "money.amount_too_fine"},
		{"1.000", "USD", 0, "money.amount_too_fine"},
		{"1.0", "JPY", 0, "money.amount_too_fine"},
		{"", "USD", 0, "money.amount_unreadable"},
		{"-", "USD", 0, "money.amount_unreadable"},
		{"--1", "USD", 0, "money.amount_unreadable"},
		{"+1", "USD", 0, "money.amount_unreadable"},
		{"1.", "USD", 0, "money.amount_unreadable"},
		{"1.-5", "USD", 0, "money.amount_unreadable"},
		{".5", "USD", 0, "money.amount_unreadable"},
		{"01", "USD", 0, "money.amount_unreadable"},
		{"1e2", "USD", 0, "money.amount_unreadable"},
		{"NaN", "USD", 0, "money.amount_unreadable"},
		{"Infinity", "USD", 0, "money.amount_unreadable"},
		{" 1", "USD", 0, "money.amount_unreadable"},
		{"1 ", "USD", 0, "money.amount_unreadable"},
		{"1,00", "USD", 0, "money.amount_unreadable"},
		{"1_000", "USD", 0, "money.amount_unreadable"},
		{"1.2.3", "USD", 0, "money.amount_unreadable"},
		{"\u0661", "USD", 0, "money.amount_unreadable"},
		{"0x10", "USD", 0, "money.amount_unreadable"},
		{"1", "XXX", 0, "money.currency_unknown"},
	}
	for _, tt := range tests {
		got, err := money.Parse(tt.text, tt.currency)
		if got != tt.want || codeOf(err) != tt.wantErr {
			t.Errorf("Parse(%q, %s) = %d, %q; want %d, %q", tt.text, tt.currency, got, codeOf(err), tt.want, tt.wantErr)
		}
		if err != nil && !fault.Is(err, fault.Meaning) {
			t.Errorf("Parse(%q): kind %v, want Meaning", tt.text, fault.Of(err))
		}
	}
}

func TestText(t *testing.T) {
	t.Parallel()
	tests := []struct {
		amount   money.Amount
		currency money.Currency
		want     string
	}{
		{0, "USD", "0.00"},
		{5, "USD", "0.05"},
		{-5, "USD", "-0.05"},
		{123450, "USD", "1234.50"},
		{7, "JPY", "7"},
		{7, "TND", "0.007"},
		{7, "UYW", "0.0007"},
		{math.MinInt64, "USD", "-92233720368547758.08"},
		{math.MaxInt64, "JPY", "9223372036854775807"},
	}
	for _, tt := range tests {
		if got := tt.amount.Text(tt.currency); got != tt.want {
			t.Errorf("(%d).Text(%s) = %q, want %q", tt.amount, tt.currency, got, tt.want)
		}
	}
}

func TestTextReadsBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := money.Amount(rapid.Int64().Draw(t, "amount"))
		c := rapid.SampledFrom(money.Currencies()).Draw(t, "currency")
		got, err := money.Parse(a.Text(c), c)
		if err != nil || got != a {
			t.Fatalf("%d in %s: %q reads back as %d, %v", a, c, a.Text(c), got, err)
		}
	})
}

// interesting draws int64 values with the edges over-represented.
func interesting() *rapid.Generator[int64] {
	return rapid.OneOf(rapid.Int64(), rapid.Int64Range(-12, 12),
		rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, math.MaxInt64 - 1, math.MaxInt64, 1 << 31, 1 << 32}))
}

func TestArithmeticIsExactOrRefused(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := interesting().Draw(t, "a"), interesting().Draw(t, "b")
		x, y := big.NewInt(a), big.NewInt(b)
		sum, errAdd := money.Amount(a).Add(money.Amount(b))
		exactOrRefused(t, "Add", new(big.Int).Add(x, y), sum, errAdd)
		diff, errSub := money.Amount(a).Sub(money.Amount(b))
		exactOrRefused(t, "Sub", new(big.Int).Sub(x, y), diff, errSub)
		product, errMul := money.Amount(a).Mul(b)
		exactOrRefused(t, "Mul", new(big.Int).Mul(x, y), product, errMul)
	})
}

func exactOrRefused(t *rapid.T, name string, want *big.Int, got money.Amount, err error) {
	t.Helper()
	if want.IsInt64() {
		if err != nil || int64(got) != want.Int64() {
			t.Fatalf("%s = %d, %v; want %v", name, got, err, want)
		}
	} else if codeOf(err) != "money.amount_too_large" {
		t.Fatalf("%s = %d, %v; want a refusal, exact is %v", name, got, err, want)
	}
}

func TestSum(t *testing.T) {
	t.Parallel()
	got, err := money.Sum(1, 2, -5)
	if got != -2 || err != nil {
		t.Errorf("Sum = %d, %v", got, err)
	}
	got, err = money.Sum()
	if got != 0 || err != nil {
		t.Errorf("Sum of none = %d, %v", got, err)
	}
	_, err = money.Sum(math.MaxInt64, 1)
	if codeOf(err) != "money.amount_too_large" {
		t.Errorf("Sum past the end: %v", err)
	}
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"1234.50", "-0.01", "1e5", "NaN", "00", "9223372036854775807", "1.", "\x00"} {
		f.Add(text, "USD")
		f.Add(text, "JPY")
	}
	f.Fuzz(func(t *testing.T, text, code string) {
		c := money.Currency(code)
		got, err := money.Parse(text, c)
		if err != nil {
			if !fault.Is(err, fault.Meaning) {
				t.Fatalf("%q: %v is not a Meaning error", text, err)
			}
			return
		}
		exact, ok := new(big.Rat).SetString(text)
		if !ok {
			t.Fatalf("%q was read as %d but is no number", text, got)
		}
		scale := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(c.Digits())), nil)
		if exact.Mul(exact, new(big.Rat).SetInt(scale)).Cmp(new(big.Rat).SetInt64(int64(got))) != 0 {
			t.Fatalf("%q %s was read as %d", text, code, got)
		}
	})
}
