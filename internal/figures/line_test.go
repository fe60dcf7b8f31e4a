package figures_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"benchtag/internal/figures"
)

func points(pairs ...float64) []figures.Point {
	var all []figures.Point
	for i := 0; i < len(pairs); i += 2 {
		all = append(all, figures.Point{X: pairs[i], Y: pairs[i+1]})
	}
	return all
}

// Ozone monitors against a reference, x then y, with certified results: the
// Norris data of the NIST Statistical Reference Datasets (from memory; the
// certified values come out, which wrong data would not give).
func norris() []figures.Point {
	return points(.2, .1, 337.4, 338.8, 118.2, 118.1, 884.6, 888, 10.1, 9.2, 226.5, 228.1, 666.3, 668.5, 996.3, 998.5, 448.6, 449.1,
		777, 778.9, 558.2, 559.2, .4, .3, .6, .1, 775.5, 778.1, 666.9, 668.8, 338, 339.3, 447.5, 448.9, 11.6, 10.8, 556, 557.7, 228.1, 228.3,
		995.8, 998, 887.6, 888.8, 120.2, 119.6, .3, .3, .3, .6, 556.8, 557.6, 339.1, 339.3, 887.2, 888, 999, 998.5, 779, 778.9, 11.1, 10.2,
		118.3, 117.6, 229.2, 228.9, 669.1, 668.4, 448.9, 449.2, .5, .2)
}

func TestFitAsCertified(t *testing.T) {
	t.Parallel()
	l, err := figures.Fit(norris(), .95)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		got  figures.Number
		want float64
	}{
		"slope": {l.Slope, 1.00211681802045}, "intercept": {l.Intercept, -.262323073774029}, "residual": {l.Residual, .884796396144373},
		"slope error": {l.SlopeError, .429796848199937e-3}, "intercept error": {l.InterceptError, .232818234301152}, "r²": {*l.R2, .999993745883712},
	} {
		if !near(c.got, c.want, 1e-10*math.Abs(c.want)+1e-15) {
			t.Errorf("%s: %.15g, certified %.15g", name, float64(c.got), c.want)
		}
	}
	if l.N != 36 || l.Freedom != 34 {
		t.Errorf("%+v", l)
	}
}

func drawnPoints(t *rapid.T) []figures.Point {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) figures.Point {
		return figures.Point{X: rapid.Float64Range(0, 100).Draw(t, "x"), Y: rapid.Float64Range(-10, 10).Draw(t, "y")}
	}), 3, 20).Draw(t, "points")
}

func TestFitAgainstGonum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		all := drawnPoints(t)
		l, err := figures.Fit(all, .9)
		if err != nil {
			t.Fatal(err)
		}
		if l == nil || float64(l.Sxx) < 1 {
			return // all near one x: nothing to compare but rounding
		}
		var xs, ys []float64
		for _, p := range all {
			xs, ys = append(xs, p.X), append(ys, p.Y)
		}
		a, b := stat.LinearRegression(xs, ys, nil, false)
		if !near(l.Slope, b, 1e-9) || !near(l.Intercept, a, 1e-7) {
			t.Fatalf("%v + %v x, gonum %v + %v x", l.Intercept, l.Slope, a, b)
		}
		if l.R2 != nil && !near(*l.R2, stat.RSquared(xs, ys, nil, a, b), 1e-7) {
			t.Fatalf("r² %v, gonum %v", *l.R2, stat.RSquared(xs, ys, nil, a, b))
		}
		if want := (distuv.StudentsT{Sigma: 1, Nu: float64(len(all) - 2)}).Quantile(.95); !near(l.T, want, 1e-7*want) {
			t.Fatalf("t %v, gonum %v", l.T, want)
		}
		x := rapid.Float64Range(-50, 200).Draw(t, "at")
		r := l.At(x)
		lower, upper := float64(r.Mean.Low), float64(r.Mean.High)
		if float64(r.Next.Low) > lower || float64(r.Next.High) < upper || !near(r.Y, (lower+upper)/2, 1e-7*(1+math.Abs(upper-lower))) {
			t.Fatalf("%+v", r)
		}
		// The variance of the line at x, from that of intercept, slope and their
		// covariance −x̄ s²/Sxx.
		variance := float64(l.InterceptError)*float64(l.InterceptError) + x*x*float64(l.SlopeError)*float64(l.SlopeError) -
			2*x*float64(l.MeanX)*float64(l.Residual)*float64(l.Residual)/float64(l.Sxx)
		half := (upper - lower) / 2
		if want := float64(l.T) * math.Sqrt(max(0, variance)); math.Abs(half-want) > 1e-5*(1+want) {
			t.Fatalf("half width %v, want %v", half, want)
		}
	})
}

func TestTooFewPoints(t *testing.T) {
	t.Parallel()
	for name, all := range map[string][]figures.Point{"none": nil, "two": points(1, 1, 2, 2), "one distance": points(1, 1, 1, 2, 1, 3)} {
		l, err := figures.Fit(all, .95)
		f, err2 := figures.Reach(figures.Wear{Points: all, Limit: 9, Upper: true}, .95)
		if l != nil || err != nil || err2 != nil || f.Outlook != figures.NoneOutlook || f.At != nil {
			t.Errorf("%s: %v, %v, %+v, %v", name, l, err, f, err2)
		}
	}
}

func TestReach(t *testing.T) {
	t.Parallel()
	steady := points(0, 1, 10, 2.1, 20, 2.9, 30, 4.05, 40, 5)
	for _, c := range []struct {
		name  string
		wear  figures.Wear
		want  figures.Outlook
		at    float64
		bound bool
	}{
		{"towards a most", figures.Wear{Points: steady, Limit: 8, Upper: true}, figures.WillReach, 70.1, true},
		{"past a most", figures.Wear{Points: steady, Limit: 4.5, Upper: true}, figures.HasReached, 35, true},
		{"away from a least", figures.Wear{Points: steady, Limit: 0}, figures.GoesAway, 0, false},
		{"towards a least", figures.Wear{Points: points(0, 9, 10, 8, 20, 7.1, 30, 6), Limit: 3}, figures.WillReach, 60.6, true},
		{"too scattered to tell", figures.Wear{Points: points(0, 1, 10, 5, 20, 0, 30, 4), Limit: 9, Upper: true}, figures.NotSure, 177.5, false},
		{"level", figures.Wear{Points: points(0, 1, 10, 1, 20, 1), Limit: 9, Upper: true}, figures.GoesAway, 0, false},
		{"level and past", figures.Wear{Points: points(0, 9.5, 10, 9.5, 20, 9.5), Limit: 9, Upper: true}, figures.HasReached, 0, false},
		{"on a line, exactly", figures.Wear{Points: points(0, 1, 10, 2, 20, 3), Limit: 5, Upper: true}, figures.WillReach, 40, true},
	} {
		f, err := figures.Reach(c.wear, .95)
		if err != nil || f.Outlook != c.want || (f.High != nil) != c.bound {
			t.Errorf("%s: %+v, %v", c.name, f, err)
			continue
		}
		if c.at != 0 && !near(*f.At, c.at, .5) {
			t.Errorf("%s: at %v, want %v", c.name, *f.At, c.at)
		}
		if c.bound && (*f.Low > *f.At || *f.High < *f.At) {
			t.Errorf("%s: %v to %v about %v", c.name, *f.Low, *f.High, *f.At)
		}
	}
}

// At the ends of the forecast an end of the prediction interval is the limit.
func TestReachIsInversePrediction(t *testing.T) {
	t.Parallel()
	cases := 0
	rapid.Check(t, func(t *rapid.T) {
		var all []figures.Point
		for i := range rapid.IntRange(3, 12).Draw(t, "n") {
			all = append(all, figures.Point{X: float64(10 * i), Y: float64(i) + rapid.Float64Range(-.3, .3).Draw(t, "off")})
		}
		f, err := figures.Reach(figures.Wear{Points: all, Limit: rapid.Float64Range(12, 30).Draw(t, "limit"), Upper: true}, .8)
		if err != nil {
			t.Fatal(err)
		}
		if f.High == nil || f.Outlook != figures.WillReach {
			return
		}
		cases++
		limit := float64(f.Line.At(float64(*f.At)).Y)
		low, high := f.Line.At(float64(*f.Low)), f.Line.At(float64(*f.High))
		if !near(low.Next.High, limit, 1e-6*(1+limit)) || !near(high.Next.Low, limit, 1e-6*(1+limit)) {
			t.Fatalf("limit %v: at the low end up to %v, at the high end from %v", limit, low.Next.High, high.Next.Low)
		}
	})
	if cases == 0 {
		t.Error("no case reached its limit")
	}
}

func TestFitRefuses(t *testing.T) {
	t.Parallel()
	_, err := figures.Fit(points(1, math.NaN(), 2, 2, 3, 3), .95)
	if code, at := codeOf(err); code != "figures.point_outside" || at != "/points/0/y" {
		t.Error(err)
	}
	_, err = figures.Fit(points(1, 1, 2, 2, 3, 3), 0)
	if code, _ := codeOf(err); code != "figures.level_outside" {
		t.Error(err)
	}
	_, err = figures.Fit(make([]figures.Point, figures.MostRows+1), .95)
	if code, _ := codeOf(err); code != "figures.rows_too_many" {
		t.Error(err)
	}
}

func TestRank(t *testing.T) {
	t.Parallel()
	got, err := figures.Rank([]figures.Mode{{"a", 8, 4, 5}, {"b", 10, 2, 3}, {"c", 7, 6, 4}, {"d", 9, 10, 10}, {"e", 10, 1, 1}, {"f", 6, 7, 4}})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	var numbers []int64
	for _, r := range got {
		names, numbers = append(names, r.Name), append(numbers, r.Number)
		if r.First != (r.Severity >= 9) || r.Word == "" {
			t.Errorf("%+v", r)
		}
	}
	if diff := cmp.Diff([]string{"b", "e", "d", "c", "f", "a"}, names); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]int64{60, 10, 900, 168, 168, 160}, numbers); diff != "" {
		t.Error(diff)
	}
	for _, m := range []figures.Mode{{"s", 0, 1, 1}, {"o", 1, 11, 1}, {"d", 1, 1, -1}} {
		_, err := figures.Rank([]figures.Mode{m})
		if code, at := codeOf(err); code != "figures.rating_outside" || at != "/modes/0/"+m.Name {
			t.Errorf("%+v: %v", m, err)
		}
	}
	if figures.SeverityWord(0) != "" || figures.SeverityWord(10) != "hazardous without warning" || figures.SeverityWord(1) != "none" {
		t.Error("words of severity")
	}
}

// The order is total and stands by the rule, pair by pair.
func TestRankLaws(t *testing.T) {
	t.Parallel()
	rating := rapid.Int64Range(1, 10)
	rapid.Check(t, func(t *rapid.T) {
		modes := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) figures.Mode {
			return figures.Mode{Severity: rating.Draw(t, "s"), Occurrence: rating.Draw(t, "o"), Detection: rating.Draw(t, "d")}
		}), 0, 12).Draw(t, "modes")
		got, err := figures.Rank(modes)
		if err != nil || len(got) != len(modes) {
			t.Fatal(err)
		}
		for i := range len(got) - 1 {
			a, b := got[i], got[i+1]
			if a.Severity < 9 && b.Severity >= 9 || a.Severity < 9 && a.Number < b.Number || b.Severity >= 9 && a.Severity < b.Severity || a.Number > 1000 || a.Number < 1 {
				t.Fatalf("%+v before %+v", a, b)
			}
		}
	})
}
