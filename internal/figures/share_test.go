package figures_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/figures"
)

func near(a figures.Number, b, tol float64) bool { return math.Abs(float64(a)-b) <= tol }

func codeOf(err error) (code, pointer string) {
	var f *fault.Error
	if !errors.As(err, &f) {
		return fmt.Sprint(err), ""
	}
	if len(f.Fields) == 1 {
		pointer = f.Fields[0].Pointer
	}
	return f.Code, pointer
}

// Intervals of R. G. Newcombe 1998, table I (from memory, and reproduced by the
// formulas): methods 3, 4 and 5.
func TestShareAsPublished(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		hits, trials             int64
		wilson, corrected, exact [2]float64
	}{
		{81, 263, [2]float64{.2553, .3662}, [2]float64{.2535, .3682}, [2]float64{.2527, .3676}},
		{15, 148, [2]float64{.0624, .1605}, [2]float64{.0598, .1644}, [2]float64{.0578, .1617}},
		{0, 20, [2]float64{0, .1611}, [2]float64{0, .2005}, [2]float64{0, .1684}},
		{1, 29, [2]float64{.0061, .1718}, [2]float64{.0018, .1963}, [2]float64{.0009, .1776}},
	} {
		p, err := figures.Share(figures.Count{Hits: c.hits, Trials: c.trials}, figures.Prior{}, figures.DefaultLevel)
		if err != nil {
			t.Fatal(err)
		}
		for name, pair := range map[string]struct {
			got  *figures.Interval
			want [2]float64
		}{"wilson": {p.Wilson, c.wilson}, "corrected": {p.Corrected, c.corrected}, "exact": {p.Exact, c.exact}} {
			if !near(pair.got.Low, pair.want[0], 5.1e-5) || !near(pair.got.High, pair.want[1], 5.1e-5) {
				t.Errorf("%d of %d, %s: %v, want %v", c.hits, c.trials, name, *pair.got, pair.want)
			}
		}
	}
}

// Beta(1, 1) with 3 of 12 and 0 of 10, computed with three programs.
func TestBeliefs(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		hits, trials    int64
		mean, low, high float64
	}{{3, 12, .285714, .0909204, .5381315}, {0, 10, .083333, .0022990, .2849142}, {0, 0, .5, .025, .975}} {
		p, err := figures.Share(figures.Count{Hits: c.hits, Trials: c.trials}, figures.Prior{}, figures.DefaultLevel)
		if err != nil || !near(p.Belief.Mean, c.mean, 1e-6) || !near(p.Belief.Low, c.low, 1e-7) || !near(p.Belief.High, c.high, 1e-7) {
			t.Errorf("%+v: %+v, %v", c, p.Belief, err)
		}
	}
}

// scoreEnd solves |p̂ − p| = z √(p(1−p)/n) for p by halving, which is what the
// score interval is.
func scoreEnd(share, n, z, from, to float64) float64 {
	for range 200 {
		middle := (from + to) / 2
		if math.Abs(share-middle) > z*math.Sqrt(middle*(1-middle)/n) {
			to = middle
		} else {
			from = middle
		}
	}
	return from
}

func TestShareAgainstDefinitions(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 3000).Draw(t, "n")
		x := rapid.Int64Range(0, n).Draw(t, "x")
		level := rapid.Float64Range(.5, .999).Draw(t, "level")
		p, err := figures.Share(figures.Count{Hits: x, Trials: n}, figures.Prior{}, figures.Level(level))
		if err != nil {
			t.Fatal(err)
		}
		share, z := float64(x)/float64(n), distuv.UnitNormal.Quantile((1+level)/2)
		if !near(p.Wilson.Low, scoreEnd(share, float64(n), z, share, 0), 1e-9) || !near(p.Wilson.High, scoreEnd(share, float64(n), z, share, 1), 1e-9) {
			t.Fatalf("%d of %d: Wilson %v", x, n, *p.Wilson)
		}
		// The exact interval: at its ends the tail beyond the count is α/2.
		if x > 0 {
			tail := 1 - distuv.Binomial{N: float64(n), P: float64(p.Exact.Low)}.CDF(float64(x-1))
			if math.Abs(tail-(1-level)/2) > 1e-7 {
				t.Fatalf("%d of %d: exact low %v has %v above", x, n, p.Exact.Low, tail)
			}
		}
		for _, i := range []*figures.Interval{p.Wilson, p.Corrected, p.Exact} {
			if float64(i.Low) < 0 || float64(i.High) > 1 || float64(i.Low) > share+1e-12 || float64(i.High) < share-1e-12 {
				t.Fatalf("%d of %d: %v", x, n, *i)
			}
		}
		if float64(p.Corrected.Low) > float64(p.Wilson.Low)+1e-12 || float64(p.Corrected.High) < float64(p.Wilson.High)-1e-12 {
			t.Fatalf("%d of %d: the corrected interval %v is not wider than %v", x, n, *p.Corrected, *p.Wilson)
		}
	})
}

func TestShareRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		code  string
		count figures.Count
		prior figures.Prior
		level figures.Level
	}{
		{"figures.count_unclear", figures.Count{Hits: -1, Trials: 2}, figures.Prior{}, .95},
		{"figures.count_unclear", figures.Count{Hits: 3, Trials: 2}, figures.Prior{}, .95},
		{"figures.count_unclear", figures.Count{Hits: 3, Trials: 2e9}, figures.Prior{}, .95},
		{"figures.prior_outside", figures.Count{Hits: 1, Trials: 2}, figures.Prior{For: -1, Against: 1}, .95},
		{"figures.prior_outside", figures.Count{Hits: 1, Trials: 2}, figures.Prior{For: 1, Against: 2e9}, .95},
		{"figures.level_outside", figures.Count{Hits: 1, Trials: 2}, figures.Prior{}, 1},
		{"figures.level_outside", figures.Count{Hits: 1, Trials: 2}, figures.Prior{}, figures.Level(math.NaN())},
	} {
		_, err := figures.Share(c.count, c.prior, c.level)
		if code, _ := codeOf(err); code != c.code {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// No trials are no data, not nought.
func TestNoTrials(t *testing.T) {
	t.Parallel()
	p, err := figures.Share(figures.Count{}, figures.Prior{}, .95)
	if err != nil || p.Share != nil || p.Wilson != nil || p.Exact != nil || p.Corrected != nil {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestNumbersAsText(t *testing.T) {
	t.Parallel()
	for n, want := range map[figures.Number]string{0: `"0"`, 1. / 3: `"0.3333333333"`, -2.5: `"-2.5"`, 1e-7: `"0.0000001"`, 12345678901: `"12345678900"`} {
		got, err := json.Marshal(n)
		if string(got) != want || err != nil {
			t.Errorf("%v: %s, %v, want %s", float64(n), got, err, want)
		}
	}
	if _, err := json.Marshal(figures.Number(math.Inf(1))); err == nil {
		t.Error("an endless number was written")
	}
	if got := figures.Number(math.NaN()).String(); got != "no data" {
		t.Errorf("no number reads %q", got)
	}
	for s, want := range map[figures.Span]string{0: "0", 1: "0.000001", -1_500_000: "-1.5", 60_000_000: "60"} {
		if s.String() != want {
			t.Errorf("%d microseconds: %s", int64(s), s)
		}
	}
}

func FuzzShare(f *testing.F) {
	f.Add(int64(3), int64(12), .95)
	f.Add(int64(0), int64(1), .5)
	f.Fuzz(func(t *testing.T, x, n int64, level float64) {
		if n > 1e6 {
			return
		}
		p, err := figures.Share(figures.Count{Hits: x, Trials: n}, figures.Prior{}, figures.Level(level))
		if err != nil {
			return
		}
		if _, err := json.Marshal(p); err != nil {
			t.Errorf("%d of %d: %v", x, n, err)
		}
	})
}

func BenchmarkShare(b *testing.B) {
	for b.Loop() {
		if _, err := figures.Share(figures.Count{Hits: 81, Trials: 263}, figures.Prior{}, .95); err != nil {
			b.Fatal(err)
		}
	}
}

func ExampleShare() {
	p, err := figures.Share(figures.Count{Hits: 3, Trials: 40}, figures.Prior{}, figures.DefaultLevel)
	fmt.Printf("%.3f, between %.3f and %.3f, %v\n", float64(*p.Share), float64(p.Wilson.Low), float64(p.Wilson.High), err)
	// Output: 0.075, between 0.026 and 0.199, <nil>
}
