package figures_test

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/figures"
	"benchtag/internal/flow"
)

// naiveLogRank goes through the times from 0 on and counts both groups anew at
// each.
func naiveLogRank(a, b []figures.Observation) (expected, variance float64) {
	for time := 0.0; time <= 12; time++ {
		var n1, n2, d float64
		for i, group := range [][]figures.Observation{a, b} {
			for _, o := range group {
				if o.Time >= time && i == 0 {
					n1++
				}
				if o.Time >= time && i == 1 {
					n2++
				}
				if o.Time == time && o.Event {
					d++
				}
			}
		}
		n := n1 + n2
		if d == 0 {
			continue
		}
		expected += d * n1 / n
		if n > 1 {
			// The hypergeometric variance, drawing d of n of which n1 count.
			variance += d * n1 * n2 * (n - d) / (n * n * (n - 1))
		}
	}
	return expected, variance
}

func TestLogRankAgainstTheDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawnTimes(t, "first"), drawnTimes(t, "second")
		got, err := figures.Compare(a, b)
		if err != nil {
			t.Fatal(err)
		}
		expected, variance := naiveLogRank(a, b)
		if !near(got.First.Expected, expected, 1e-9) || !near(got.Variance, variance, 1e-9) {
			t.Fatalf("E = %v, V = %v, by the definition %v, %v", got.First.Expected, got.Variance, expected, variance)
		}
		var terms int64
		for _, term := range got.Terms {
			terms += term.Events
		}
		if terms != got.First.Observed+got.Second.Observed {
			t.Fatalf("%d events in the terms", terms)
		}
	})
}

// The greater the level, the wider every interval.
func TestLevelsWiden(t *testing.T) {
	t.Parallel()
	inside := func(t *rapid.T, what string, narrow, wide figures.Interval) {
		if narrow.Low < wide.Low-1e-9 || narrow.High > wide.High+1e-9 {
			t.Fatalf("%s: %v is not inside %v", what, narrow, wide)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(1, 200).Draw(t, "n")
		count := figures.Count{Hits: rapid.Int64Range(0, n).Draw(t, "x"), Trials: n}
		a, err := figures.Share(count, figures.Prior{}, .8)
		if err != nil {
			t.Fatal(err)
		}
		b, err := figures.Share(count, figures.Prior{}, .99)
		if err != nil {
			t.Fatal(err)
		}
		inside(t, "Wilson", *a.Wilson, *b.Wilson)
		inside(t, "exact", *a.Exact, *b.Exact)
		inside(t, "beta", a.Belief.Interval, b.Belief.Interval)
		all := drawnPoints(t)
		line, err := figures.Fit(all, .8)
		if err != nil {
			t.Fatal(err)
		}
		wider, err := figures.Fit(all, .99)
		if err != nil {
			t.Fatal(err)
		}
		if line != nil {
			inside(t, "slope", line.SlopeInterval, wider.SlopeInterval)
			inside(t, "next", line.At(5).Next, wider.At(5).Next)
		}
	})
}

// A line does not mind where x begins nor in which unit y is.
func TestLinesMove(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		all := drawnPoints(t)
		line, err := figures.Fit(all, .95)
		if err != nil {
			t.Fatal(err)
		}
		if line == nil || float64(line.Sxx) < 1 {
			return
		}
		moved := slices.Clone(all)
		for i := range moved {
			moved[i].X += 1000
			moved[i].Y *= 25.4
		}
		other, err := figures.Fit(moved, .95)
		if err != nil {
			t.Fatal(err)
		}
		if !near(other.Slope, 25.4*float64(line.Slope), 1e-6) || !near(other.Residual, 25.4*float64(line.Residual), 1e-6) ||
			!near(other.At(1007).Y, 25.4*float64(line.At(7).Y), 1e-5) {
			t.Fatalf("%+v, moved %+v", line, other)
		}
	})
}

// What goes out is decimal text, whole numbers and null, in these shapes.
func TestShapes(t *testing.T) {
	t.Parallel()
	share, err := figures.Share(figures.Count{Trials: 0}, figures.Prior{}, .95)
	if err != nil {
		t.Fatal(err)
	}
	hours, err := figures.Sell([]figures.Sold{{Job: "j", Minutes: 10}}, []figures.Worked{{"j", "a", 1}, {"j", "b", 2}})
	if err != nil {
		t.Fatal(err)
	}
	spent, err := figures.TimeSpent(figures.Times{Entries: []figures.Entry{{"a", flow.Repair, minute(0)}}, Until: minute(1)})
	if err != nil {
		t.Fatal(err)
	}
	forecast, err := figures.Reach(figures.Wear{}, .95)
	if err != nil {
		t.Fatal(err)
	}
	curve, err := figures.Survival(observed([]float64{1}, []float64{2}), .95, figures.Plain)
	if err != nil {
		t.Fatal(err)
	}
	for want, value := range map[string]any{
		`{"hits":0,"trials":0,"share":null,"wilson":null,"wilson_corrected":null,"exact":null,"beta":{"a":"1","b":"1","mean":"0.5","low":"0.025","high":"0.975"}}`:                                                                                                                                                                                                            share,
		`{"technicians":[{"by":"a","sold_minutes":"3.333","worked_minutes":1,"jobs":1,"efficiency_percent":"333.3"},{"by":"b","sold_minutes":"6.667","worked_minutes":2,"jobs":1,"efficiency_percent":"333.35"}],"total":{"by":"","sold_minutes":"10","worked_minutes":3,"jobs":1,"efficiency_percent":"333.3333333"},"sold_unworked_minutes":"0","worked_unsold_minutes":0}`: hours,
		`{"jobs":1,"total_seconds":"60","on_hold_seconds":"0","stages":[{"stage":"repair","jobs":1,"total_seconds":"60","median_seconds":"60","on_hold_seconds":"0","share":"1"}],"waits":[{"on":"bench","total_seconds":"60","share":"1"}]}`:                                                                                                                                 spent,
		`{"outlook":"no_data","line":null,"at":null,"low":null,"high":null,"left":null}`:                                                                             forecast,
		`{"watched":2,"events":1,"censored":1,"steps":[{"time":"1","at_risk":2,"events":1,"survival":"0.5","se":"0.3535533906","low":"0","high":"1"}],"median":"1"}`: curve,
	} {
		got, err := json.Marshal(value)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want, string(got)); diff != "" {
			t.Error(diff)
		}
	}
}

// Every outlook comes up, and none that is not listed.
func TestOutlooks(t *testing.T) {
	t.Parallel()
	seen := map[figures.Outlook]bool{}
	for _, w := range []figures.Wear{
		{},
		{Points: points(0, 1, 1, 2, 2, 3), Limit: 9, Upper: true},
		{Points: points(0, 1, 1, 2, 2, 3), Limit: 0},
		{Points: points(0, 1, 1, 2, 2, 3), Limit: 2, Upper: true},
		{Points: points(0, 1, 1, 9, 2, 3), Limit: 20, Upper: true},
	} {
		f, err := figures.Reach(w, .95)
		if err != nil || !slices.Contains(figures.Outlooks(), f.Outlook) {
			t.Errorf("%+v: %v, %v", w, f.Outlook, err)
		}
		seen[f.Outlook] = true
	}
	if len(seen) != len(figures.Outlooks()) {
		t.Errorf("only %v", seen)
	}
}

// Turning a most into a least, values and limit with it, forecasts the same.
func TestReachMirrored(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		all := drawnPoints(t)
		limit := rapid.Float64Range(-20, 20).Draw(t, "limit")
		a, err := figures.Reach(figures.Wear{Points: all, Limit: limit, Upper: true}, .9)
		if err != nil {
			t.Fatal(err)
		}
		turned := slices.Clone(all)
		for i := range turned {
			turned[i].Y = -turned[i].Y
		}
		b, err := figures.Reach(figures.Wear{Points: turned, Limit: -limit}, .9)
		if err != nil || a.Outlook != b.Outlook {
			t.Fatalf("%s, mirrored %s, %v", a.Outlook, b.Outlook, err)
		}
		if a.At != nil && math.Abs(float64(*a.At-*b.At)) > 1e-6*(1+math.Abs(float64(*a.At))) {
			t.Fatalf("%v, mirrored %v", *a.At, *b.At)
		}
	})
}
