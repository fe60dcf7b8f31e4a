package checks_test

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/checks"
)

func near(a checks.Figure, b float64, tol float64) bool { return math.Abs(float64(a)-b) <= tol }

func TestInterval(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		a, b            string
		mean, low, high float64
	}{
		"3 of 12 on an even start": {"4", "10", .285714, .0909204, .5381315},
		"0 of 10 on an even start": {"1", "11", .083333, .0022990, .2849142},
		"even":                     {"1", "1", .5, .025, .975},
		"closed form for b of 1":   {"3", "1", .75, math.Cbrt(.025), math.Cbrt(.975)},
		"nothing for it":           {"0", "5", 0, 0, 0},
		"nothing against it":       {"5", "0", 1, 1, 1},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, err := checks.Interval(rat(c.a), rat(c.b), checks.Level)
			if err != nil || !near(got.Mean, c.mean, 1e-6) || !near(got.Low, c.low, 5e-8) || !near(got.High, c.high, 5e-8) {
				t.Errorf("got %v, %v; want %v", got, err, c)
			}
		})
	}
}

func TestIntervalRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a, b  string
		level float64
		code  string
	}{
		{"-1", "2", .95, "checks.weight_outside"},
		{"1", "-2", .95, "checks.weight_outside"},
		{"0", "0", .95, "checks.weight_outside"},
		{"1", "1000000000", .95, "checks.weight_outside"},
		{"1", "1", 0, "checks.level_outside"},
		{"1", "1", 1, "checks.level_outside"},
		{"1", "1", math.NaN(), "checks.level_outside"},
	} {
		_, err := checks.Interval(rat(c.a), rat(c.b), c.level)
		if codeOf(err) != c.code {
			t.Errorf("%+v: %v", c, err)
		}
	}
	_, err := checks.Shares([]checks.Belief{{rat("3"), rat("0")}, {rat("1"), rat("-1")}}, checks.Level)
	if codeOf(err) != "checks.weight_outside" {
		t.Errorf("a negative count: %v", err)
	}
}

// binomial is the probability of k or more of n at p, from the definition.
func binomial(k, n int64, p float64) float64 {
	sum := 0.0
	for i := k; i <= n; i++ {
		c, _ := new(big.Float).SetInt(new(big.Int).Binomial(n, i)).Float64()
		sum += c * math.Pow(p, float64(i)) * math.Pow(1-p, float64(n-i))
	}
	return sum
}

// The ends of an interval leave the tails they should: for whole a and b the
// distribution function of Beta(a, b) at x is the probability of a or more of
// a+b-1 at x (from memory; follows by integrating by parts).
func TestIntervalLeavesItsTails(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Int64Range(1, 30).Draw(t, "a"), rapid.Int64Range(1, 30).Draw(t, "b")
		level := rapid.Float64Range(.5, .99).Draw(t, "level")
		got := must(checks.Interval(big.NewRat(a, 1), big.NewRat(b, 1), level))
		for _, end := range []struct{ at, below float64 }{{float64(got.Low), (1 - level) / 2}, {float64(got.High), (1 + level) / 2}} {
			if below := binomial(a, a+b-1, end.at); math.Abs(below-end.below) > 1e-7 {
				t.Fatalf("Beta(%d, %d): %v lies below %v, want %v", a, b, below, end.at, end.below)
			}
		}
	})
}

// Shares add up; each lies in its interval; one more job for a cause never
// lowers its share, nor raises another's.
func TestShares(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		beliefs := make([]checks.Belief, rapid.IntRange(2, 6).Draw(t, "causes"))
		sum := new(big.Rat)
		for i := range beliefs {
			beliefs[i] = checks.Belief{Prior: big.NewRat(rapid.Int64Range(1, 40).Draw(t, "prior"), 4), Count: big.NewRat(rapid.Int64Range(0, 30).Draw(t, "count"), 1)}
			sum.Add(sum, beliefs[i].Prior).Add(sum, beliefs[i].Count)
		}
		before := must(checks.Shares(beliefs, checks.Level))
		total := 0.0
		for i, s := range before {
			want, _ := new(big.Rat).Quo(new(big.Rat).Add(beliefs[i].Prior, beliefs[i].Count), sum).Float64()
			if !near(s.Mean, want, 1e-12) || s.Low > s.Mean || s.High < s.Mean {
				t.Fatalf("%d: %v, want %v", i, s, want)
			}
			total += float64(s.Mean)
		}
		if math.Abs(total-1) > 1e-12 {
			t.Fatalf("shares add up to %v", total)
		}
		beliefs[0].Count.Add(beliefs[0].Count, big.NewRat(1, 1))
		after := must(checks.Shares(beliefs, checks.Level))
		if after[0].Mean < before[0].Mean || after[1].Mean > before[1].Mean {
			t.Fatalf("one more job for the first: %v, then %v", before, after)
		}
	})
}
