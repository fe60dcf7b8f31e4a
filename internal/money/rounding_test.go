package money_test

import (
	"math"
	"math/big"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/money"
)

func TestRoundingsAreComplete(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, r := range money.Roundings() {
		got, err := money.ParseRounding(string(r))
		if err != nil || got != r || r.Step() < 1 || seen[string(r)] {
			t.Errorf("%q: parsed %q, %v; step %d; seen before %v", r, got, err, r.Step(), seen[string(r)])
		}
		if r.Cash() != (r.Step() > 1) || r.Words() == string(r) && r != money.Down && r != money.Up {
			t.Errorf("%q: cash %v, words %q", r, r.Cash(), r.Words())
		}
		seen[string(r)] = true
	}
	if len(seen) != 8 {
		t.Errorf("%d rules listed, want 8", len(seen))
	}
	for _, bad := range []string{"", "half-up", "HALF_UP", "to_0", "nearest"} {
		_, err := money.ParseRounding(bad)
		if codeOf(err) != "money.rounding_unknown" || money.Rounding(bad).Step() != 0 {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

// TestMulRatio holds values worked by hand from each rule's definition.
func TestMulRatio(t *testing.T) {
	t.Parallel()
	tests := []struct {
		a        money.Amount
		num, den int64
		rule     money.Rounding
		want     money.Amount
		wantErr  string
	}{
		{5, 1, 2, money.HalfUp, 3, ""},
		{-5, 1, 2, money.HalfUp, -3, ""},
		{5, 1, 2, money.HalfEven, 2, ""},
		{7, 1, 2, money.HalfEven, 4, ""},
		{-5, 1, 2, money.HalfEven, -2, ""},
		{5, 1, 2, money.Down, 2, ""},
		{-5, 1, 2, money.Down, -2, ""},
		{5, 1, 2, money.Up, 3, ""},
		{-5, 1, 2, money.Up, -3, ""},
		{4, 1, 2, money.Up, 2, ""},
		{10, 1, 3, money.HalfUp, 3, ""},
		{10, 1, 3, money.Up, 4, ""},
		{12, 1, 1, money.To5, 10, ""},
		{13, 1, 1, money.To5, 15, ""},
		{-13, 1, 1, money.To5, -15, ""},
		{25, 1, 2, money.To5, 15, ""}, // 12.5 is midway between 10 and 15
		{24, 1, 2, money.To5, 10, ""},
		{1245, 1, 1, money.To10, 1250, ""},
		{1244, 1, 1, money.To10, 1240, ""},
		{1225, 1, 1, money.To50, 1250, ""},
		{1224, 1, 1, money.To50, 1200, ""},
		{1250, 1, 1, money.To100, 1300, ""},
		{1249, 1, 1, money.To100, 1200, ""},
		{math.MaxInt64, math.MaxInt64, math.MaxInt64, money.HalfUp, math.MaxInt64, ""},
		{math.MinInt64, 1, 1, money.HalfUp, math.MinInt64, ""},
		{math.MinInt64, -1, 1, money.HalfUp, 0, "money.amount_too_large"},
		{math.MaxInt64, 2, 1, money.HalfUp, 0, "money.amount_too_large"},
		{math.MaxInt64, math.MaxInt64, 1, money.HalfUp, 0, "money.amount_too_large"},
		{math.MaxInt64, 1, 1, money.To5, math.MaxInt64 - 2, ""}, // …807 lies nearer to …805
		{math.MinInt64, 1, 1, money.To10, 0, "money.amount_too_large"},
		{1, 1, 0, money.HalfUp, 0, "money.ratio_invalid"},
		{1, 1, -2, money.HalfUp, 0, "money.ratio_invalid"},
		{1, 1, 1, "", 0, "money.rounding_unknown"},
	}
	for _, tt := range tests {
		got, err := money.MulRatio(tt.a, tt.num, tt.den, tt.rule)
		if got != tt.want || codeOf(err) != tt.wantErr {
			t.Errorf("MulRatio(%d, %d, %d, %s) = %d, %q; want %d, %q",
				tt.a, tt.num, tt.den, tt.rule, got, codeOf(err), tt.want, tt.wantErr)
		}
	}
}

// naiveRound rounds an exact value by the rule's own definition: it looks at
// the two neighbouring multiples of the step and picks one by distance.
func naiveRound(exact *big.Rat, r money.Rounding) *big.Int {
	step := new(big.Rat).SetInt64(r.Step())
	size := new(big.Rat).Quo(new(big.Rat).Abs(exact), step)
	below := new(big.Int).Quo(size.Num(), size.Denom())
	above := new(big.Int).Add(below, big.NewInt(1))
	toBelow := new(big.Rat).Sub(size, new(big.Rat).SetInt(below))
	toAbove := new(big.Rat).Sub(new(big.Rat).SetInt(above), size)
	pick := below
	switch c := toBelow.Cmp(toAbove); {
	case toBelow.Sign() == 0 || r == money.Down:
	case r == money.Up, c > 0:
		pick = above
	case c == 0 && (r != money.HalfEven || below.Bit(0) == 1):
		pick = above
	}
	pick = new(big.Int).Mul(pick, big.NewInt(r.Step()))
	if exact.Sign() < 0 {
		pick.Neg(pick)
	}
	return pick
}

func TestMulRatioAgreesWithDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, num := interesting().Draw(t, "a"), interesting().Draw(t, "num")
		den := rapid.OneOf(rapid.Int64Range(1, 20), rapid.Int64Range(1, math.MaxInt64)).Draw(t, "den")
		r := rapid.SampledFrom(money.Roundings()).Draw(t, "rule")
		exact := new(big.Rat).SetFrac(new(big.Int).Mul(big.NewInt(a), big.NewInt(num)), big.NewInt(den))
		got, err := money.MulRatio(money.Amount(a), num, den, r)
		exactOrRefused(t, "MulRatio", naiveRound(exact, r), got, err)
	})
}

// Small values are exhausted, so that every tie is met.
func TestRoundingSmallValuesExhausted(t *testing.T) {
	t.Parallel()
	for _, r := range money.Roundings() {
		for a := int64(-130); a <= 130; a++ {
			for den := int64(1); den <= 6; den++ {
				got, err := money.MulRatio(money.Amount(a), 1, den, r)
				want := naiveRound(big.NewRat(a, den), r)
				if err != nil || int64(got) != want.Int64() {
					t.Fatalf("%d/%d by %s = %d, %v; want %v", a, den, r, got, err, want)
				}
			}
		}
	}
}

func TestRound(t *testing.T) {
	t.Parallel()
	got, err := money.Amount(1003).Round(money.To5)
	if got != 1005 || err != nil {
		t.Errorf("Round(to_5) = %d, %v", got, err)
	}
	got, err = money.Amount(1003).Round(money.HalfEven)
	if got != 1003 || err != nil {
		t.Errorf("Round(half_even) = %d, %v", got, err)
	}
}

func TestRates(t *testing.T) {
	t.Parallel()
	tax, err := money.PPM(88750).Of(10000, money.HalfUp) // 887.5
	if tax != 888 || err != nil {
		t.Errorf("Of = %d, %v; want 888", tax, err)
	}
	tax, err = money.PPM(200000).Within(12000, money.HalfUp)
	if tax != 2000 || err != nil {
		t.Errorf("Within = %d, %v; want 2000", tax, err)
	}
	for _, bad := range []money.PPM{-1, money.Million*money.Million + 1} {
		_, err = bad.Within(1, money.HalfUp)
		if codeOf(err) != "money.rate_invalid" {
			t.Errorf("Within at %d: %v", bad, err)
		}
	}
}

func TestPercent(t *testing.T) {
	t.Parallel()
	for rate, want := range map[money.PPM]string{
		0: "0 %", 200000: "20 %", 88750: "8.875 %", 1: "0.0001 %", 1000000: "100 %", -50000: "-5 %", 100: "0.01 %",
	} {
		if got := rate.Percent(); got != want {
			t.Errorf("%d: %q, want %q", rate, got, want)
		}
	}
}

func TestAllocate(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name    string
		total   money.Amount
		weights []int64
		want    []money.Amount
	}{
		{"nobody", 100, nil, nil},
		{"ties go to the lower index", 100, []int64{1, 1, 1}, []money.Amount{34, 33, 33}},
		{"largest remainder first", 10, []int64{10, 15, 75}, []money.Amount{1, 2, 7}}, // quotas 1, 1.5, 7.5
		{"negative total mirrors", -100, []int64{1, 1, 1}, []money.Amount{-34, -33, -33}},
		{"idle weight gets nothing", 5, []int64{0, 1, 0, 1}, []money.Amount{0, 3, 0, 2}},
		{"all zero is even", 5, []int64{0, 0}, []money.Amount{3, 2}},
		{"below zero counts as zero", 5, []int64{-7, 1}, []money.Amount{0, 5}},
		{"nothing to share", 0, []int64{3, 4}, []money.Amount{0, 0}},
		{"weights past 64 bits", 9, []int64{math.MaxInt64, math.MaxInt64, math.MaxInt64}, []money.Amount{3, 3, 3}},
		{"smallest total", math.MinInt64, []int64{1}, []money.Amount{math.MinInt64}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			if diff := cmp.Diff(tt.want, money.Allocate(tt.total, tt.weights)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// naiveAllocate takes the quotas as exact fractions and hands out what is
// left one unit at a time, each time to the largest remainder still unserved.
func naiveAllocate(total int64, weights []int64) []money.Amount {
	sum := new(big.Int)
	for _, w := range weights {
		sum.Add(sum, big.NewInt(w))
	}
	shares, rests, left := make([]money.Amount, len(weights)), make([]*big.Rat, len(weights)), total
	for i, w := range weights {
		exact := new(big.Rat).SetFrac(new(big.Int).Mul(big.NewInt(total), big.NewInt(w)), sum)
		whole := new(big.Int).Quo(exact.Num(), exact.Denom())
		shares[i], rests[i] = money.Amount(whole.Int64()), exact.Sub(exact, new(big.Rat).SetInt(whole))
		left -= whole.Int64()
	}
	for ; left > 0; left-- {
		best := 0
		for i := range rests {
			if rests[i].Cmp(rests[best]) > 0 {
				best = i
			}
		}
		shares[best]++
		rests[best] = big.NewRat(-1, 1)
	}
	return shares
}

func TestAllocateAgreesWithDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.OneOf(rapid.Int64Range(0, 50), rapid.Int64Range(0, math.MaxInt64)).Draw(t, "total")
		weights := rapid.SliceOfN(rapid.OneOf(rapid.Int64Range(0, 5), rapid.Int64Range(0, math.MaxInt64/8)), 1, 8).Draw(t, "weights")
		weights[0]++ // at least one is above zero
		got := money.Allocate(money.Amount(total), weights)
		if diff := cmp.Diff(naiveAllocate(total, weights), got); diff != "" {
			t.Fatalf("(-want +got):\n%s", diff)
		}
	})
}

func TestAllocateAlwaysSumsExactly(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		total := interesting().Draw(t, "total")
		weights := rapid.SliceOfN(interesting(), 1, 9).Draw(t, "weights")
		var sum money.Amount
		for _, share := range money.Allocate(money.Amount(total), weights) {
			sum += share
			if share != 0 && (share < 0) != (total < 0) {
				t.Fatalf("share %d of %d has the other sign", share, total)
			}
		}
		if int64(sum) != total {
			t.Fatalf("shares sum to %d, want %d", sum, total)
		}
	})
}
