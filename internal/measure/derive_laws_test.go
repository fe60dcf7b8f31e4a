package measure_test

import (
	"errors"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"benchtag/internal/measure"
)

func fixed(f float64) string { return strconv.FormatFloat(f, 'f', 9, 64) }

// micrometres draws a length of 10 to 100 mm in whole micrometres.
func micrometres(t *rapid.T, name string) int64 {
	return rapid.Int64Range(10_000, 100_000).Draw(t, name)
}

func mm(um int64) string { return new(big.Rat).SetFrac64(um, 1000).FloatString(3) + " mm" }

func rationals(t testing.TB, qs []measure.Quantity) []*big.Rat {
	t.Helper()
	out := make([]*big.Rat, len(qs))
	for i, q := range qs {
		out[i] = rat(t, q.Value.String())
	}
	return out
}

// meanOf is the mean from its definition, in rational numbers.
func meanOf(all []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for _, r := range all {
		sum.Add(sum, r)
	}
	return sum.Quo(sum, new(big.Rat).SetInt64(int64(len(all))))
}

// within reports whether a value lies within so many parts of a thousand million.
func within(got, want *big.Rat, billionths int64) bool {
	diff := new(big.Rat).Sub(got, want)
	return diff.Abs(diff).Cmp(new(big.Rat).SetFrac64(billionths, 1_000_000_000)) <= 0
}

// reference is a budget from the definitions: it has one reading a role, and
// counts each source by itself.
type reference struct {
	step, certificate float64
	repeats           [][]float64
	slopes            []float64
}

func (r reference) standard() (u, nu float64) {
	square, fourth, up, down := 0.0, 0.0, 0.0, 0.0
	for i, values := range r.repeats {
		c := r.slopes[i]
		square += c * c * r.step * r.step / 12
		if c > 0 {
			up += c * r.certificate / 2
		} else {
			down += c * r.certificate / 2
		}
		if n := float64(len(values)); n > 1 {
			mean, ss := 0.0, 0.0
			for _, v := range values {
				mean += v / n
			}
			for _, v := range values {
				ss += (v - mean) * (v - mean)
			}
			part := c * c * ss / (n - 1) / n
			square += part
			fourth += part * part / (n - 1)
		}
	}
	square += up*up + down*down
	if fourth == 0 {
		return math.Sqrt(square), math.Inf(1)
	}
	return math.Sqrt(square), square * square / fourth
}

// drawn is a request with one or several repeats of each of two sizes.
func drawn(t *rapid.T, tb testing.TB, g *measure.Gauge) (measure.Request, [][]float64) {
	req := measure.Request{Formula: "clearance"}
	var values [][]float64
	for i, of := range []string{"bore", "piston"} {
		first := micrometres(t, of)
		n := rapid.IntRange(1, 5).Draw(t, "repeats")
		var texts []string
		var floats []float64
		for range n {
			um := first + rapid.Int64Range(-20, 20).Draw(t, "off")
			texts = append(texts, mm(um))
			floats = append(floats, float64(um)/1000)
		}
		_ = i
		req.Readings = append(req.Readings, reading(tb, of, g, texts...))
		values = append(values, floats)
	}
	return req, values
}

// TestClearanceMatchesReference compares value, u, degrees of freedom and k
// with the definitions.
func TestClearanceMatchesReference(t *testing.T) {
	t.Parallel()
	g := gauge(t, "0.001 mm", "0.003 mm")
	rapid.Check(t, func(rt *rapid.T) {
		req, values := drawn(rt, t, g)
		got, err := measure.Derive(req)
		if err != nil {
			rt.Fatal(err)
		}
		want := new(big.Rat).Sub(meanOf(rationals(t, req.Readings[0].Values)), meanOf(rationals(t, req.Readings[1].Values)))
		if !within(rat(t, got.Value.Value.String()), want, 1000) {
			rt.Fatalf("got %s, want %s", got.Value, want.FloatString(9))
		}
		u, nu := reference{step: 0.001, certificate: 0.003, repeats: values, slopes: []float64{1, -1}}.standard()
		if math.Abs(float(t, got.Standard)-u) > 1e-8 || (!math.IsInf(nu, 1) && math.Abs(got.Freedom/nu-1) > 1e-6) {
			rt.Fatalf("u %s and %g degrees, want %g and %g", got.Standard, got.Freedom, u, nu)
		}
		k := 2.0
		if !math.IsInf(nu, 1) {
			k = distuv.StudentsT{Sigma: 1, Nu: nu}.Quantile(distuv.UnitNormal.CDF(2))
		}
		if math.Abs(got.Coverage-k) > 1e-6*k {
			rt.Fatalf("k %g, want %g", got.Coverage, k)
		}
		if float(t, got.Expanded) < k*u*(1-1e-9) {
			rt.Fatalf("U %s is less than k u = %g", got.Expanded, k*u)
		}
	})
}

// TestExactFigures compares sums, means and percentages with rational numbers.
func TestExactFigures(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		a, b := micrometres(rt, "a"), micrometres(rt, "b")
		for _, one := range []struct {
			formula string
			of      [2]string
			with    map[string]string
			want    *big.Rat
		}{
			{"leak_down", [2]string{"supply", "cylinder"}, nil, new(big.Rat).Mul(big.NewRat(100, 1), big.NewRat(a-b, a))},
			{"polarisation_index", [2]string{"ten_minutes", "one_minute"}, nil, big.NewRat(a, b)},
			{"pressure_spread", [2]string{"1", "2"}, nil, new(big.Rat).Mul(big.NewRat(100, 1), big.NewRat(max(a, b)-min(a, b), max(a, b)))},
			{"ratio", [2]string{"1", "2"}, nil, big.NewRat(min(a, b), max(a, b))},
			{"phase_unbalance", [2]string{"u", "v"}, nil, new(big.Rat).Mul(big.NewRat(100, 1), big.NewRat(max(a, b)-min(a, b), a+b))},
		} {
			unit := " kPa"
			if one.formula == "polarisation_index" {
				unit = " MOhm"
			}
			size := func(n int64) string { return big.NewRat(n, 1000).FloatString(3) + unit }
			got, err := measure.Derive(measure.Request{Formula: one.formula, With: one.with, Readings: []measure.Reading{
				reading(t, one.of[0], nil, size(a)), reading(t, one.of[1], nil, size(b))}})
			if err != nil {
				rt.Fatal(one.formula, err)
			}
			value := rat(t, got.Value.Value.String())
			slack := new(big.Rat).Mul(new(big.Rat).Abs(one.want), big.NewRat(1, 1_000_000_000))
			if diff := new(big.Rat).Sub(value, one.want); diff.Abs(diff).Cmp(slack) > 0 {
				rt.Fatalf("%s of %d and %d: %s, want %s", one.formula, a, b, got.Value, one.want.FloatString(14))
			}
			if finite(one.want) && value.Cmp(one.want) != 0 {
				rt.Fatalf("%s of %d and %d: %s is not exactly %s", one.formula, a, b, got.Value, one.want.FloatString(12))
			}
		}
	})
}

// finite reports whether a fraction has a decimal of 12 places.
func finite(r *big.Rat) bool {
	scaled := new(big.Rat).Mul(r, big.NewRat(1_000_000_000_000, 1))
	return scaled.IsInt()
}

// TestOrderOfRepeatsDoesNotMatter holds for the whole result.
func TestOrderOfRepeatsDoesNotMatter(t *testing.T) {
	t.Parallel()
	g := gauge(t, "0.001 mm", "0.002 mm")
	rapid.Check(t, func(rt *rapid.T) {
		req, _ := drawn(rt, t, g)
		want, err := measure.Derive(req)
		if err != nil {
			rt.Fatal(err)
		}
		other := req
		other.Readings = slices.Clone(req.Readings)
		for i := range other.Readings {
			other.Readings[i].Values = rapid.Permutation(req.Readings[i].Values).Draw(rt, "order")
		}
		got, err := measure.Derive(other)
		if err != nil {
			rt.Fatal(err)
		}
		if !cmp.Equal(got.Working, want.Working) || got.Value != want.Value || got.Expanded.Value != want.Expanded.Value {
			rt.Fatalf("%s ± %s in one order, %s ± %s in another", got.Value, got.Expanded, want.Value, want.Expanded)
		}
	})
}

// TestSwappingPartsTurnsTheClearance round, for one place of each.
func TestSwappingPartsTurnsTheClearance(t *testing.T) {
	t.Parallel()
	g := gauge(t, "0.001 mm", "0.002 mm")
	rapid.Check(t, func(rt *rapid.T) {
		req, _ := drawn(rt, t, g)
		there, err := measure.Derive(req)
		if err != nil {
			rt.Fatal(err)
		}
		req.Readings[0].Of, req.Readings[1].Of = "shaft", "hole"
		back, err := measure.Derive(req)
		if err != nil {
			rt.Fatal(err)
		}
		sum := new(big.Rat).Add(rat(t, there.Value.Value.String()), rat(t, back.Value.Value.String()))
		if sum.Sign() != 0 || there.Expanded.Value != back.Expanded.Value {
			rt.Fatalf("%s ± %s and %s ± %s", there.Value, there.Expanded, back.Value, back.Expanded)
		}
	})
}

// TestFinerStepNeverRaisesU holds for few repeats as well, where the formula
// of Welch and Satterthwaite by itself does not.
func TestFinerStepNeverRaisesU(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		fine := rapid.Int64Range(1, 50).Draw(rt, "fine")
		coarse := fine + rapid.Int64Range(0, 100).Draw(rt, "coarser")
		req, _ := drawn(rt, t, gauge(t, mm(fine), "0.002 mm"))
		less, err := measure.Derive(req)
		if err != nil {
			rt.Fatal(err)
		}
		for i := range req.Readings {
			req.Readings[i].Gauge = gauge(t, mm(coarse), "0.002 mm")
			req.Readings[i].Gauge.Name = "the same"
		}
		more, err := measure.Derive(req)
		if err != nil {
			rt.Fatal(err)
		}
		if float(t, less.Expanded) > float(t, more.Expanded)*(1+1e-12) {
			rt.Fatalf("a step of %s gives U %s, one of %s gives %s", mm(fine), less.Expanded, mm(coarse), more.Expanded)
		}
	})
}

// TestFinerStepWithThreeRepeats is the case in which U fell for a coarser
// gauge before the repeats' own share bounded it: s ten times the step.
func TestFinerStepWithThreeRepeats(t *testing.T) {
	t.Parallel()
	before := 0.0
	for _, step := range []string{"0.001 mm", "0.005 mm", "0.010 mm", "0.020 mm", "0.040 mm", "0.080 mm", "0.160 mm"} {
		got, err := measure.Derive(measure.Request{Formula: "mean", Readings: []measure.Reading{reading(t, "", gauge(t, step, ""), "10.00 mm", "10.01 mm", "10.02 mm")}})
		if err != nil {
			t.Fatal(err)
		}
		if u := float(t, got.Expanded); u < before {
			t.Errorf("step %s: U %g, and with a finer one %g", step, u, before)
		} else {
			before = u
		}
	}
}

// TestScalingReadingsScalesTheValue doubles everything that was read; what is
// a share stays as it is.
func TestScalingReadingsScalesTheValue(t *testing.T) {
	t.Parallel()
	linear := []string{"backlash", "bearing_clearance", "chain_sag", "chain_slack", "clearance", "crush_strip", "diameter", "end_float", "gap",
		"gear_over_pins", "gear_span", "gear_thickness_loss", "length_at_20", "mean", "out_of_round", "run_out", "spring_free_length", "taper"}
	shares := []string{"leak_down", "phase_unbalance", "polarisation_index", "pressure_spread", "ratio"}
	tried := 0
	for _, w := range workedCases() {
		factor := 0.0
		switch {
		case slices.Contains(linear, w.formula):
			factor = 2
		case slices.Contains(shares, w.formula):
			factor = 1
		default:
			continue
		}
		tried++
		single, double := w.request(t, 0.001), w.request(t, 0.002)
		for i, r := range double.Readings {
			double.Readings[i].Values[0] = quantityLike(t, r.Values[0], 2*float(t, r.Values[0]))
		}
		if a, b := derived(t, single), derived(t, double); math.Abs(b-factor*a) > 3e-6*math.Max(1, math.Abs(b)) {
			t.Errorf("%s: %g, and of double the readings %g", w.name, a, b)
		}
	}
	if tried < len(linear)+len(shares) {
		t.Errorf("only %d tried", tried)
	}
}

// TestUnitsOfReadingsDoNotMatter reads the same in inches, to within a
// nanometre.
func TestUnitsOfReadingsDoNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		a, b := rapid.Int64Range(4000, 40000).Draw(rt, "a"), rapid.Int64Range(4000, 40000).Draw(rt, "b")
		inches := func(n int64) string { return big.NewRat(n, 10_000).FloatString(4) + " in" }
		metric := func(n int64) string { return big.NewRat(n*254, 100_000).FloatString(5) + " mm" }
		req := func(first, second string) measure.Request {
			return measure.Request{Formula: "clearance", Unit: "mm", Readings: []measure.Reading{reading(t, "hole", nil, first), reading(t, "shaft", nil, second)}}
		}
		want, err := measure.Derive(req(metric(a), metric(b)))
		if err != nil {
			rt.Fatal(err)
		}
		for _, other := range []measure.Request{req(inches(a), inches(b)), req(inches(a), metric(b)), req(metric(a), inches(b))} {
			got, err := measure.Derive(other)
			if err != nil {
				rt.Fatal(err)
			}
			if !within(rat(t, got.Value.Value.String()), rat(t, want.Value.Value.String()), 1) {
				rt.Fatalf("%s and %s", got.Value, want.Value)
			}
		}
	})
}

// TestPlacesOfOneGaugeShareItsError holds that more places do not average a
// certificate away.
func TestPlacesOfOneGaugeShareItsError(t *testing.T) {
	t.Parallel()
	g := gauge(t, "0.001 mm", "0.020 mm")
	for n := 1; n <= 20; n += 3 {
		req := measure.Request{Formula: "mean"}
		for range n {
			req.Readings = append(req.Readings, reading(t, "size", g, "10.000 mm"))
		}
		got, err := measure.Derive(req)
		if err != nil {
			t.Fatal(err)
		}
		if u := float(t, got.Standard); u < 0.010 || u > 0.0101 {
			t.Errorf("%d places: u %g, and the certificate alone gives 0.01", n, u)
		}
	}
}

// TestCombineMatchesReference compares with the definitions and with an
// independent Student's distribution.
func TestCombineMatchesReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		var parts []measure.Contribution
		square, fourth := 0.0, 0.0
		for range rapid.IntRange(1, 6).Draw(rt, "parts") {
			p := measure.Contribution{Standard: rapid.Float64Range(0.01, 10).Draw(rt, "u"), Sensitivity: rapid.Float64Range(-3, 3).Draw(rt, "c"),
				Freedom: float64(rapid.IntRange(0, 40).Draw(rt, "nu"))}
			parts = append(parts, p)
			v := math.Pow(p.Standard*p.Sensitivity, 2)
			square += v
			if p.Freedom > 0 {
				fourth += v * v / p.Freedom
			}
		}
		got := measure.Combine(parts, 0.95, 0)
		k := distuv.UnitNormal.Quantile(0.975)
		if fourth > 0 && square*square/fourth < 1e6 {
			k = distuv.StudentsT{Sigma: 1, Nu: square * square / fourth}.Quantile(0.975)
		}
		if square > 1e-12 && (math.Abs(got.Standard-math.Sqrt(square)) > 1e-9 || math.Abs(got.Factor/k-1) > 1e-5 || got.Expanded < k*got.Standard*(1-1e-5)) {
			rt.Fatalf("%+v: %+v, want u %g, k %g", parts, got, math.Sqrt(square), k)
		}
	})
}

// TestCodesOfOil holds scale numbers against the rule that the bands double.
func TestCodesOfOil(t *testing.T) {
	t.Parallel()
	before := -1
	for _, upper := range []float64{0.01, 0.02, 0.04, 0.08, 0.16, 0.32, 0.64, 1.3, 2.5, 5, 10, 20, 40, 80, 160, 320, 640, 1300, 2500, 5000, 1e4, 2e4, 4e4, 8e4, 1.6e5, 3.2e5, 6.4e5, 1.3e6, 2.5e6} {
		for _, at := range []float64{upper, upper * 1.0001} {
			d, err := measure.ParseDecimal(decimalOf(at))
			if err != nil {
				t.Fatal(err)
			}
			n, err := measure.ScaleNumber(d)
			if err != nil || (at == upper && n != before+1) || (at > upper && n != before+2) {
				t.Errorf("%g particles: %d, %v", at, n, err)
			}
		}
		before++
	}
}

// TestHalvesOfANanometreGoToEven holds for means that fall between two steps,
// on both sides of nought.
func TestHalvesOfANanometreGoToEven(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ a, b, want string }{
		{"0.000002 mm", "0.000003 mm", "0.000002"}, {"0.000003 mm", "0.000004 mm", "0.000004"}, {"0 mm", "0.000001 mm", "0"},
		{"-0.000002 mm", "-0.000003 mm", "-0.000002"}, {"-0.000003 mm", "-0.000004 mm", "-0.000004"}, {"-0.000001 mm", "0.000002 mm", "0"},
	} {
		got, err := measure.Derive(measure.Request{Formula: "mean", Readings: []measure.Reading{reading(t, "", nil, tt.a, tt.b)}})
		if err != nil || got.Value.Value.String() != tt.want {
			t.Errorf("mean of %s and %s: %s, %v, want %s mm", tt.a, tt.b, got.Value, err, tt.want)
		}
	}
}

// TestWordsOfBudgets holds that every distribution and display that is listed
// comes about, and no other.
func TestWordsOfBudgets(t *testing.T) {
	t.Parallel()
	seen := map[measure.Distribution]bool{}
	for _, display := range measure.Displays() {
		g := gauge(t, "0.01 mm", "0.01 mm")
		g.Display = display
		got, err := measure.Derive(measure.Request{Formula: "mean", Readings: []measure.Reading{reading(t, "", g, "10.00 mm", "10.01 mm")}})
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range got.Budget {
			seen[line.Distribution] = true
		}
	}
	for _, d := range measure.Distributions() {
		if !seen[d] {
			t.Errorf("%s comes about nowhere", d)
		}
		delete(seen, d)
	}
	if len(seen) > 0 {
		t.Errorf("not listed: %v", seen)
	}
}

// TestNoData holds what is missing to be said, and never taken as nought.
func TestNoData(t *testing.T) {
	t.Parallel()
	once, err := measure.Derive(measure.Request{Formula: "mean", Readings: []measure.Reading{reading(t, "", gauge(t, "0.01 mm", "0.01 mm"), "10.00 mm")}})
	if err != nil || !once.Known || !strings.Contains(strings.Join(once.Warnings, " "), "read once") {
		t.Errorf("read once: %+v, %v", once.Warnings, err)
	}
	bare, err := measure.Derive(measure.Request{Formula: "mean", Readings: []measure.Reading{reading(t, "", nil, "10.00 mm", "10.01 mm")}})
	if err != nil || bare.Known || bare.Expanded.Unit != "" || len(bare.Warnings) == 0 {
		t.Errorf("without a gauge: %+v, %v", bare, err)
	}
	half, err := measure.Derive(measure.Request{Formula: "clearance", Readings: []measure.Reading{reading(t, "bore", gauge(t, "0.01 mm", ""), "10.00 mm"), reading(t, "piston", nil, "9.95 mm")}})
	if err != nil || half.Known || !strings.Contains(strings.Join(half.Warnings, " "), "piston") {
		t.Errorf("one gauge of two: %+v, %v", half.Warnings, err)
	}
}

// FuzzDerive holds that whatever is read, there is a figure or a fault that
// says what to do.
func FuzzDerive(f *testing.F) {
	for _, w := range workedCases() {
		with := ""
		for name, text := range w.with {
			with += name + "=" + text + "&"
		}
		first, last := w.readings[0], w.readings[len(w.readings)-1]
		f.Add(w.formula, first[0], first[1], last[0], last[1], with)
	}
	f.Add("taper", "/", "1 mm", "top/", "2 mm", "")
	f.Add("mean", "", "999999999999999999 km", "", "0.000000000001 um", "k=0")
	f.Fuzz(func(t *testing.T, formula, of, value, of2, value2, with string) {
		req := measure.Request{Formula: formula, With: map[string]string{}}
		for _, pair := range strings.Split(with, "&") {
			name, text, ok := strings.Cut(pair, "=")
			if ok {
				req.With[name] = text
			}
		}
		for _, r := range [][2]string{{of, value}, {of2, value2}} {
			q, err := measure.Parse(r[1])
			if err != nil {
				continue
			}
			req.Readings = append(req.Readings, measure.Reading{Of: r[0], Values: []measure.Quantity{q, q}, Gauge: &measure.Gauge{Name: "g", Resolution: q, Uncertainty: q}})
		}
		got, err := measure.Derive(req)
		var fault *measure.Error
		switch {
		case err != nil && (!errors.As(err, &fault) || fault.Message == "" || !slices.Contains(measure.Codes(), fault.Code)):
			t.Fatalf("%+v: %v", req, err)
		case err == nil && (len(got.Working) == 0 || got.Value.Unit == ""):
			t.Fatalf("%+v: %+v", req, got)
		case err == nil && got.Expanded.Unit != "" && (got.Expanded.Value.Sign() < 0 || math.IsNaN(got.Coverage)):
			t.Fatalf("%+v: U %s", req, got.Expanded)
		}
	})
}

func BenchmarkDerive(b *testing.B) {
	g := gauge(b, "0.001 mm", "0.002 mm")
	req := measure.Request{Formula: "clearance", Readings: []measure.Reading{
		reading(b, "bore", g, "77.001 mm", "77.003 mm", "77.002 mm"), reading(b, "piston", g, "76.955 mm", "76.954 mm", "76.955 mm")}}
	for b.Loop() {
		if _, err := measure.Derive(req); err != nil {
			b.Fatal(err)
		}
	}
}
