package estimate_test

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/estimate"
	"benchtag/internal/money"
)

func TestWaiting(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		early, late         estimate.Ends
		low, high           money.Amount
		factorLow, factorHi string
		warned              bool
	}{
		"plain":              {estimate.Ends{Low: 17000, High: 17000}, estimate.Ends{Low: 60000, High: 104000}, 43000, 87000, "3.53", "6.12", false},
		"even":               {estimate.Ends{Low: 100, High: 200}, estimate.Ends{Low: 100, High: 200}, 0, 0, "1", "1", false},
		"half a cent rounds": {estimate.Ends{Low: 200, High: 200}, estimate.Ends{Low: 201, High: 203}, 1, 3, "1.01", "1.02", false},
		"cheaper":            {estimate.Ends{Low: 400, High: 400}, estimate.Ends{Low: 100, High: 500}, -300, 100, "0.25", "1.25", true},
		"early for nothing":  {estimate.Ends{Low: 0, High: 0}, estimate.Ends{Low: 5, High: 5}, 5, 5, "", "", true},
		"nothing at all":     {estimate.Ends{Low: 1, High: 1}, estimate.Ends{}, -1, -1, "0", "0", true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c, err := estimate.Waiting(tc.early, tc.late, "USD")
			if err != nil {
				t.Fatal(err)
			}
			if c.DifferenceLow != tc.low || c.DifferenceHigh != tc.high || c.FactorLow != tc.factorLow || c.FactorHigh != tc.factorHi {
				t.Errorf("%+v", c)
			}
			if (len(c.Warnings) > 0) != tc.warned || len(c.Working) != 3 {
				t.Errorf("warnings %q, working %q", c.Warnings, c.Working)
			}
		})
	}
}

func TestWaitingAgreesWithReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		amounts := rapid.OneOf(rapid.Int64Range(0, 50), rapid.Int64Range(0, 100_000_000))
		ends := func(name string) estimate.Ends {
			low := money.Amount(amounts.Draw(t, name))
			return estimate.Ends{Low: low, High: low + money.Amount(amounts.Draw(t, name+" more"))}
		}
		early, late := ends("early"), ends("late")
		c, err := estimate.Waiting(early, late, "EUR")
		if err != nil {
			t.Fatal(err)
		}
		for _, end := range []struct {
			early, late money.Amount
			got         string
		}{{early.Low, late.Low, c.FactorLow}, {early.High, late.High, c.FactorHigh}} {
			if end.early == 0 {
				if end.got != "" {
					t.Fatalf("a factor of nothing: %q", end.got)
				}
				continue
			}
			exact := new(big.Rat).SetFrac64(int64(end.late), int64(end.early))
			if want := trimmed(exact.FloatString(2)); end.got != want { // FloatString rounds halves away from zero
				t.Fatalf("%d over %d is %q, want %q", end.late, end.early, end.got, want)
			}
		}
		if early.Low+c.DifferenceLow != late.Low || early.High+c.DifferenceHigh != late.High {
			t.Fatalf("%+v", c)
		}
	})
}

func trimmed(s string) string { return strings.TrimSuffix(strings.TrimRight(s, "0"), ".") }

func TestWaitingRefuses(t *testing.T) {
	t.Parallel()
	good := estimate.Ends{Low: 1, High: 2}
	for name, tc := range map[string]struct {
		early, late estimate.Ends
		want        string
	}{
		"negative":       {estimate.Ends{Low: -1, High: 2}, good, "estimate.ends_invalid"},
		"upside down":    {good, estimate.Ends{Low: 3, High: 2}, "estimate.ends_invalid"},
		"past the range": {good, estimate.Ends{Low: math.MaxInt64, High: math.MaxInt64}, "money.amount_too_large"},
	} {
		_, err := estimate.Waiting(tc.early, tc.late, "USD")
		if got := codeOf(err); got != tc.want {
			t.Errorf("%s: %q, want %q", name, got, tc.want)
		}
	}
}

func TestShareOfValue(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		total     estimate.Ends
		value     *money.Amount
		low, high string
		known     bool
	}{
		"two fifths":   {estimate.Ends{Low: 100000, High: 150000}, price(250000), "40", "60", true},
		"one third":    {estimate.Ends{Low: 1, High: 2}, price(3), "33.3", "66.7", true},
		"more than it": {estimate.Ends{Low: 300, High: 300}, price(200), "150", "150", true},
		"next to none": {estimate.Ends{Low: 1, High: 1}, price(2000), "0.1", "0.1", true},
		"not known":    {estimate.Ends{Low: 1, High: 1}, nil, "no data", "no data", false},
		"worth zero":   {estimate.Ends{Low: 1, High: 1}, price(0), "no data", "no data", false},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p, err := estimate.ShareOfValue(tc.total, tc.value, "USD")
			if err != nil {
				t.Fatal(err)
			}
			if p.LowPercent != tc.low || p.HighPercent != tc.high || p.Known != tc.known || len(p.Working) == 0 {
				t.Errorf("%+v", p)
			}
		})
	}
	_, err := estimate.ShareOfValue(estimate.Ends{}, price(-1), "USD")
	if got := codeOf(err); got != "estimate.value_invalid" {
		t.Errorf("a negative value: %q", got)
	}
	_, err = estimate.ShareOfValue(estimate.Ends{Low: 2, High: 1}, nil, "USD")
	if got := codeOf(err); got != "estimate.ends_invalid" {
		t.Errorf("upside down: %q", got)
	}
}

func FuzzWaiting(f *testing.F) {
	f.Add(int64(17000), int64(0), int64(60000), int64(44000), int64(250000))
	f.Fuzz(func(t *testing.T, early, more, late, spread, value int64) {
		e, l := estimate.Ends{Low: money.Amount(early), High: money.Amount(early + more)}, estimate.Ends{Low: money.Amount(late), High: money.Amount(late + spread)}
		c, err := estimate.Waiting(e, l, "USD")
		if err == nil && (early < 0 || more < 0 || c.DifferenceLow != l.Low-e.Low) {
			t.Fatalf("%+v", c)
		}
		p, err := estimate.ShareOfValue(l, price(money.Amount(value)), "USD")
		if err == nil && p.Known != (value > 0) {
			t.Fatalf("%+v", p)
		}
	})
}
