package chance_test

import (
	"fmt"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/chance"
)

func close(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// Values that can be reckoned by hand: the distribution function of Beta(a, 1)
// is x to the a, that of Beta(1, b) is 1 - (1-x) to the b, that of
// Beta(1/2, 1/2) is 2/pi times the arcsine of the root of x.
func TestBetaByHand(t *testing.T) {
	t.Parallel()
	for _, x := range []float64{0.001, 0.1, 0.3, 0.5, 0.9, 0.999} {
		for _, c := range []struct{ got, want float64 }{
			{chance.Beta(x, 1, 1), x},
			{chance.Beta(x, 7, 1), math.Pow(x, 7)},
			{chance.Beta(x, 1, 4), 1 - math.Pow(1-x, 4)},
			{chance.Beta(x, .5, .5), 2 / math.Pi * math.Asin(math.Sqrt(x))},
			{chance.Beta(x, 3, 3), x * x * x * (10 - 15*x + 6*x*x)},
		} {
			if !close(c.got, c.want, 1e-14) {
				t.Errorf("at %v: got %v, want %v", x, c.got, c.want)
			}
		}
	}
}

func TestBetaAtItsEnds(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ got, want float64 }{
		"below 0": {chance.Beta(-1, 2, 3), 0}, "at 0": {chance.Beta(0, 2, 3), 0},
		"above 1": {chance.Beta(2, 2, 3), 1}, "at 1": {chance.Beta(1, 2, 3), 1},
		"no x": {chance.Beta(math.NaN(), 2, 3), math.NaN()}, "no a": {chance.Beta(.5, 0, 3), math.NaN()}, "no b": {chance.Beta(.5, 1, -3), math.NaN()},
		"quantile of 0": {chance.BetaQuantile(0, 2, 3), 0}, "quantile of 1": {chance.BetaQuantile(1, 2, 3), 1},
		"quantile of more": {chance.BetaQuantile(1.1, 2, 3), math.NaN()}, "quantile without a": {chance.BetaQuantile(.5, math.NaN(), 3), math.NaN()},
	} {
		if !close(c.got, c.want, 1e-15) && !(math.IsNaN(c.got) && math.IsNaN(c.want)) {
			t.Errorf("%s: got %v, want %v", name, c.got, c.want)
		}
	}
}

// Quantiles of Beta(4, 10) and Beta(1, 11), computed with three programs.
func TestBetaQuantiles(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ p, a, b, want float64 }{
		{.025, 4, 10, .0909204}, {.975, 4, 10, .5381315}, {.025, 1, 11, .0022990}, {.975, 1, 11, .2849142},
	} {
		if got := chance.BetaQuantile(c.p, c.a, c.b); !close(got, c.want, 5e-8) {
			t.Errorf("%+v: got %v", c, got)
		}
	}
}

// binomial is the probability of a or more of n at x, term by term in long
// arithmetic.
func binomial(a, n int64, x float64) float64 {
	sum := new(big.Float).SetPrec(200)
	for k := a; k <= n; k++ {
		term := new(big.Float).SetPrec(200).SetInt(new(big.Int).Binomial(n, k))
		for range k {
			term.Mul(term, big.NewFloat(x))
		}
		for range n - k {
			term.Mul(term, new(big.Float).SetPrec(200).Sub(big.NewFloat(1), big.NewFloat(x)))
		}
		sum.Add(sum, term)
	}
	f, _ := sum.Float64()
	return f
}

// For whole a and b, Beta at x is the probability of a or more hits in a+b-1
// trials at x (DLMF 8.17.5, from memory).
func TestBetaIsBinomial(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Int64Range(1, 60).Draw(t, "a"), rapid.Int64Range(1, 60).Draw(t, "b")
		x := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "x")
		got, want := chance.Beta(x, float64(a), float64(b)), binomial(a, a+b-1, x)
		if !close(got, want, 1e-13) {
			t.Fatalf("Beta(%v, %d, %d) = %v, want %v", x, a, b, got, want)
		}
	})
}

// It rises with x, mirrors, and the quantile leads back.
func TestBetaLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(.05, 5000).Draw(t, "a"), rapid.Float64Range(.05, 5000).Draw(t, "b")
		p := rapid.Float64Range(.001, .999).Draw(t, "p")
		x := chance.BetaQuantile(p, a, b)
		if got := chance.Beta(x, a, b); x > 1e-6 && x < 1-1e-6 && !close(got, p, 1e-9) {
			t.Fatalf("Beta(%v, %v, %v) = %v, want %v", x, a, b, got, p)
		}
		y := rapid.Float64Range(0, 1).Draw(t, "y")
		if chance.Beta(min(x, y), a, b) > chance.Beta(max(x, y), a, b)+1e-11 {
			t.Fatalf("falls between %v and %v", x, y)
		}
		if sum := chance.Beta(y, a, b) + chance.Beta(1-y, b, a); y > .01 && y < .99 && !close(sum, 1, 1e-9) {
			t.Fatalf("mirrored at %v: %v", y, sum)
		}
	})
}

func ExampleBetaQuantile() {
	// 3 hits in 12, on an even prior: Beta(4, 10).
	fmt.Printf("%.4f to %.4f\n", chance.BetaQuantile(.025, 4, 10), chance.BetaQuantile(.975, 4, 10))
	// Output: 0.0909 to 0.5381
}
