package figures_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/figures"
)

// Remission of leukaemia in weeks, on 6-MP and on placebo: textbook data (Freireich
// and others 1963; Gehan 1965). The first as C. T. Le prints it, the second from
// memory.
func treated() []figures.Observation {
	return observed([]float64{6, 6, 6, 7, 10, 13, 16, 22, 23}, []float64{6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35})
}

func placebo() []figures.Observation {
	return observed([]float64{1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23}, nil)
}

func observed(events, censored []float64) []figures.Observation {
	var all []figures.Observation
	for _, t := range censored {
		all = append(all, figures.Observation{Time: t})
	}
	for _, t := range events {
		all = append(all, figures.Observation{Time: t, Event: true})
	}
	return all
}

func TestSurvivalAsPublished(t *testing.T) {
	t.Parallel()
	c, err := figures.Survival(treated(), .95, figures.Log)
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		time, survival, se float64
		atRisk             int64
	}{{6, .8571, .0764, 21}, {7, .8067, .0869, 17}, {10, .7529, .0963, 15}, {13, .6902, .1068, 12}, {16, .6275, .1141, 11}, {22, .5378, .1282, 7}, {23, .4482, .1346, 6}}
	if len(c.Steps) != len(want) {
		t.Fatalf("%d steps", len(c.Steps))
	}
	for i, w := range want {
		s := c.Steps[i]
		if float64(s.Time) != w.time || s.AtRisk != w.atRisk || !near(s.Survival, w.survival, 5e-5) || !near(*s.Error, w.se, 5.1e-5) {
			t.Errorf("%+v, want %+v", s, w)
		}
	}
	if c.Watched != 21 || c.Events != 9 || c.Censored != 12 || *c.Median != 23 {
		t.Errorf("%+v", c)
	}
}

func TestLogRankAsPublished(t *testing.T) {
	t.Parallel()
	got, err := figures.Compare(placebo(), treated())
	if err != nil {
		t.Fatal(err)
	}
	if got.First.Observed != 21 || !near(got.First.Expected, 10.7495, 5e-5) || !near(got.Variance, 6.2570, 5e-5) ||
		!near(*got.ChiSquare, 16.793, 5e-4) || !near(*got.P, 4.17e-5, 5e-8) || got.Second.Observed != 9 || !near(got.Second.Expected, 19.2505, 5e-5) {
		t.Errorf("%+v", got)
	}
}

// drawnTimes draws few distinct times, so that events and censorings tie.
func drawnTimes(t *rapid.T, label string) []figures.Observation {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) figures.Observation {
		return figures.Observation{Time: float64(rapid.IntRange(0, 12).Draw(t, "time")), Event: rapid.Bool().Draw(t, "event")}
	}), 0, 40).Draw(t, label)
}

// naiveSurvival multiplies for every time from the definition, counting who is
// at risk anew each time.
func naiveSurvival(all []figures.Observation, at float64) float64 {
	s := 1.0
	for time := 0.0; time <= at; time++ {
		var atRisk, events float64
		for _, o := range all {
			if o.Time >= time {
				atRisk++
			}
			if o.Time == time && o.Event {
				events++
			}
		}
		if atRisk > 0 {
			s *= 1 - events/atRisk
		}
	}
	return s
}

func TestSurvivalAgainstTheDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		all := drawnTimes(t, "times")
		c, err := figures.Survival(all, .95, rapid.SampledFrom(figures.Transforms()).Draw(t, "transform"))
		if err != nil {
			t.Fatal(err)
		}
		last := 1.0
		var median *figures.Number
		for _, s := range c.Steps {
			if !near(s.Survival, naiveSurvival(all, float64(s.Time)), 1e-12) {
				t.Fatalf("at %v: %v, by the definition %v", s.Time, s.Survival, naiveSurvival(all, float64(s.Time)))
			}
			if float64(s.Survival) > last {
				t.Fatalf("rises at %v", s.Time)
			}
			last = float64(s.Survival)
			if s.Low != nil && (*s.Low < 0 || *s.High > 1 || float64(*s.Low) > last+1e-12 || float64(*s.High) < last-1e-12) {
				t.Fatalf("at %v: %v from %v to %v", s.Time, s.Survival, *s.Low, *s.High)
			}
			if median == nil && last <= .5+1e-9 {
				median = &s.Time
			}
		}
		if diff := cmp.Diff(median, c.Median); diff != "" {
			t.Fatalf("median: %s", diff)
		}
		if c.Events+c.Censored != int64(len(all)) {
			t.Fatalf("%d and %d of %d", c.Events, c.Censored, len(all))
		}
	})
}

// The interval on the scale of log(−log S): S^exp(±z σ/ln S), with σ² = Σ
// d/(n(n − d)) = 1/12 at the first of four.
func TestLogLogInterval(t *testing.T) {
	t.Parallel()
	c, err := figures.Survival(observed([]float64{1, 2, 4}, []float64{3}), .95, figures.LogLog)
	if err != nil {
		t.Fatal(err)
	}
	first := c.Steps[0]
	if !near(first.Survival, .75, 1e-15) || !near(*first.Low, .1279469, 1e-6) || !near(*first.High, .9605486, 1e-6) {
		t.Errorf("%v from %v to %v", first.Survival, *first.Low, *first.High)
	}
}

// Without censoring, survival is the share left and its error that of a share.
func TestWithoutCensoring(t *testing.T) {
	t.Parallel()
	c, err := figures.Survival(placebo(), .95, figures.Plain)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range c.Steps {
		var left float64
		for _, o := range placebo() {
			if o.Time > float64(s.Time) {
				left++
			}
		}
		share := left / 21
		if !near(s.Survival, share, 1e-12) || s.Error != nil && !near(*s.Error, math.Sqrt(share*(1-share)/21), 1e-12) || (s.Error == nil) != (left == 0) {
			t.Errorf("%+v, want %v", s, share)
		}
	}
}

func TestComparisonLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawnTimes(t, "first"), drawnTimes(t, "second")
		one, err := figures.Compare(a, b)
		if err != nil {
			t.Fatal(err)
		}
		other, err := figures.Compare(b, a)
		if err != nil {
			t.Fatal(err)
		}
		if !near(one.Variance, float64(other.Variance), 1e-9) || (one.ChiSquare == nil) != (other.ChiSquare == nil) ||
			one.ChiSquare != nil && (!near(*one.ChiSquare, float64(*other.ChiSquare), 1e-6) || *one.P < 0 || *one.P > 1) {
			t.Fatalf("%+v, turned round %+v", one, other)
		}
		if !near(one.First.Expected+one.Second.Expected, float64(one.First.Observed+one.Second.Observed), 1e-9) {
			t.Fatalf("expected and observed differ in sum: %+v", one)
		}
		if one.First.Expected != other.Second.Expected {
			t.Fatalf("%+v, turned round %+v", one, other)
		}
	})
	same, err := figures.Compare(treated(), treated())
	if err != nil || !near(*same.ChiSquare, 0, 1e-20) || !near(*same.P, 1, 1e-9) {
		t.Errorf("a group against itself: %+v, %v", same, err)
	}
}

func TestSurvivalRefuses(t *testing.T) {
	t.Parallel()
	bad := []figures.Observation{{Time: 1}, {Time: -1}}
	_, err := figures.Survival(bad, .95, figures.LogLog)
	if code, at := codeOf(err); code != "figures.time_outside" || at != "/times/1/time" {
		t.Error(err)
	}
	_, err = figures.Survival(nil, 2, figures.LogLog)
	if code, _ := codeOf(err); code != "figures.level_outside" {
		t.Error(err)
	}
	_, err = figures.Survival(nil, .95, "cubic")
	if code, _ := codeOf(err); code != "figures.transform_unknown" {
		t.Error(err)
	}
	_, err = figures.Compare(nil, bad)
	if code, at := codeOf(err); code != "figures.time_outside" || at != "/against/1/time" {
		t.Error(err)
	}
	_, err = figures.Survival(make([]figures.Observation, figures.MostRows+1), .95, figures.LogLog)
	if code, _ := codeOf(err); code != "figures.rows_too_many" {
		t.Error(err)
	}
	c, err := figures.Survival(nil, .95, figures.LogLog)
	if err != nil || c.Steps == nil || len(c.Steps) != 0 || c.Median != nil {
		t.Errorf("nobody watched: %+v, %v", c, err)
	}
}

func FuzzSurvival(f *testing.F) {
	f.Add([]byte{6, 6, 7, 138, 0}, []byte{1, 129})
	f.Fuzz(func(t *testing.T, a, b []byte) {
		read := func(bytes []byte) []figures.Observation {
			var all []figures.Observation
			for _, v := range bytes[:min(len(bytes), 200)] {
				all = append(all, figures.Observation{Time: float64(v & 127), Event: v < 128})
			}
			return all
		}
		first, second := read(a), read(b)
		c, err := figures.Survival(first, .95, figures.LogLog)
		if err != nil {
			t.Fatal(err)
		}
		last := 1.0
		for _, s := range c.Steps {
			if float64(s.Survival) > last || s.Survival < 0 || s.AtRisk < s.Events {
				t.Errorf("%+v after %v", s, last)
			}
			last = float64(s.Survival)
		}
		if _, err := figures.Compare(first, second); err != nil {
			t.Fatal(err)
		}
	})
}

func BenchmarkSurvival(b *testing.B) {
	all := treated()
	for b.Loop() {
		if _, err := figures.Survival(all, .95, figures.LogLog); err != nil {
			b.Fatal(err)
		}
	}
}
