package grade_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/grade"
)

var inf = math.Inf(1)

// Worked examples of JCGM 106:2012 (from memory, reproduced by the formula).
func TestConformityExamples(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		e      grade.Estimate
		limits grade.Interval
		want   float64
	}{
		{"breakdown voltage", grade.Estimate{Value: -5.47, Uncertainty: .05}, grade.Interval{Lower: -inf, Upper: -5.40}, .919243},
		{"viscosity of an oil", grade.Estimate{Value: 13.6, Uncertainty: 1.8}, grade.Interval{Lower: 12.5, Upper: 16.3}, .662630},
		{"sure, inside", grade.Estimate{Value: 3}, grade.Interval{Lower: 3, Upper: 3}, 1},
		{"sure, outside", grade.Estimate{Value: 3.1}, grade.Interval{Lower: 3, Upper: 3}, 0},
		{"no limits", grade.Estimate{Value: 3, Uncertainty: 1}, grade.Unlimited(), 1},
	} {
		if got := c.e.Conformity(c.limits); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func TestConformityAgainstGonum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		e := grade.Estimate{Value: rapid.Float64Range(-9, 9).Draw(t, "y"), Uncertainty: rapid.Float64Range(.01, 9).Draw(t, "u")}
		low := rapid.Float64Range(-9, 9).Draw(t, "low")
		high := low + rapid.Float64Range(0, 9).Draw(t, "width")
		n := distuv.Normal{Mu: e.Value, Sigma: e.Uncertainty}
		got := e.Conformity(grade.Interval{Lower: low, Upper: high})
		if want := n.CDF(high) - n.CDF(low); math.Abs(got-want) > 1e-13 || got < 0 || got > 1 {
			t.Fatalf("%v, want %v", got, want)
		}
		below, above := e.Conformity(grade.Interval{Lower: -inf, Upper: low}), e.Conformity(grade.Interval{Lower: high, Upper: inf})
		if math.Abs(got+below+above-1) > 1e-13 {
			t.Fatalf("parts sum to %v", got+below+above)
		}
	})
}

// bruteRisk sums over narrow strips of the true value, from the definition.
func bruteRisk(i grade.Inspection) (consumer, producer float64) {
	process := distuv.Normal{Mu: i.Process.Value, Sigma: i.Process.Uncertainty}
	const strips = 200_000
	width := 18 * i.Process.Uncertainty / strips
	for n := range strips {
		eta := i.Process.Value - 9*i.Process.Uncertainty + (float64(n)+.5)*width
		look := distuv.Normal{Mu: eta, Sigma: i.Measurement}
		accepted := look.CDF(i.Acceptance.Upper) - look.CDF(i.Acceptance.Lower)
		weight := process.Prob(eta) * width
		if eta >= i.Tolerance.Lower && eta <= i.Tolerance.Upper {
			producer += weight * (1 - accepted)
		} else {
			consumer += weight * accepted
		}
	}
	return consumer, producer
}

func TestRiskExamples(t *testing.T) {
	t.Parallel()
	sigma := 1 / 1.959963984540054
	for _, c := range []struct {
		name                           string
		i                              grade.Inspection
		conforming, consumer, producer float64
		tol                            float64
	}{
		{"resistors", grade.Inspection{Process: grade.Estimate{Value: 1500, Uncertainty: .12}, Measurement: .04,
			Tolerance: grade.Interval{Lower: 1499.8, Upper: 1500.2}, Acceptance: grade.Interval{Lower: 1499.82, Upper: 1500.18}}, .9044, .00987, .0690, 5e-5},
		{"in tolerance 95 %, a quarter of sigma", grade.Inspection{Process: grade.Estimate{Uncertainty: sigma}, Measurement: sigma / 4,
			Tolerance: grade.Interval{Lower: -1, Upper: 1}, Acceptance: grade.Interval{Lower: -1, Upper: 1}}, .95, .0087100925, .015953936, 2e-8},
		{"a test with a quarter of the spread", grade.Inspection{Process: grade.Estimate{Uncertainty: 4}, Measurement: 1,
			Tolerance: grade.Interval{Lower: -8, Upper: 8}, Acceptance: grade.Interval{Lower: -8, Upper: 8}}, .9545, .008006, .014851, 5e-5},
	} {
		r, err := grade.Risk(c.i)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.Conforming-c.conforming) > c.tol || math.Abs(r.Consumer-c.consumer) > c.tol || math.Abs(r.Producer-c.producer) > c.tol {
			t.Errorf("%s: %+v", c.name, r)
		}
		if r.Error > 1e-9 {
			t.Errorf("%s: error %v", c.name, r.Error)
		}
	}
}

func TestRiskOfAProcessAlone(t *testing.T) {
	t.Parallel()
	tolerance := grade.Interval{Lower: 9, Upper: 11}
	r, err := grade.Risk(grade.Inspection{Process: grade.Estimate{Value: 10, Uncertainty: .4}, Tolerance: tolerance, Acceptance: tolerance})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Below-.00621) > 5e-6 || math.Abs(r.Above-.00621) > 5e-6 || math.Abs(r.Capability-.833333) > 1e-6 || r.Consumer != 0 || r.Producer != 0 {
		t.Errorf("%+v", r)
	}
}

func TestRiskAgainstStrips(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		if rapid.IntRange(0, 9).Draw(t, "thin out") != 0 {
			return // strips are slow
		}
		i := grade.Inspection{Process: grade.Estimate{Value: rapid.Float64Range(-1, 1).Draw(t, "y0"), Uncertainty: rapid.Float64Range(.2, 3).Draw(t, "u0")},
			Measurement: rapid.Float64Range(.02, 2).Draw(t, "um")}
		i.Tolerance = grade.Interval{Lower: rapid.Float64Range(-4, 0).Draw(t, "low"), Upper: rapid.Float64Range(0, 4).Draw(t, "high")}
		i.Acceptance = i.Tolerance.Acceptance(rapid.Float64Range(-1, 1).Draw(t, "guard"))
		if rapid.Bool().Draw(t, "open below") {
			i.Tolerance.Lower, i.Acceptance.Lower = -inf, -inf
		}
		if i.Acceptance.Lower > i.Acceptance.Upper {
			return
		}
		r, err := grade.Risk(i)
		if err != nil {
			t.Fatal(err)
		}
		consumer, producer := bruteRisk(i)
		// The strips at the two limits may lie on either side.
		if math.Abs(r.Consumer-consumer) > 2e-4 || math.Abs(r.Producer-producer) > 2e-4 {
			t.Fatalf("%+v: %v and %v, by strips %v and %v", i, r.Consumer, r.Producer, consumer, producer)
		}
		if math.Abs(r.Conforming-r.Producer+r.Consumer-r.Accepted) > 1e-9 {
			t.Fatalf("accepted %v is not conforming %v less producer's %v and consumer's %v", r.Accepted, r.Conforming, r.Producer, r.Consumer)
		}
	})
}

// Drawing the acceptance limits in lowers the consumer's risk and raises the
// producer's.
func TestGuardTradesRisks(t *testing.T) {
	t.Parallel()
	last := grade.Risks{Consumer: 1, Producer: -1}
	for _, guard := range []float64{-.3, -.1, 0, .05, .1, .3, .6} {
		i := grade.Inspection{Process: grade.Estimate{Uncertainty: .6}, Measurement: .1, Tolerance: grade.Interval{Lower: -1, Upper: 1}}
		i.Acceptance = i.Tolerance.Acceptance(guard)
		r, err := grade.Risk(i)
		if err != nil || r.Consumer >= last.Consumer || r.Producer <= last.Producer {
			t.Errorf("guard %v: %+v after %+v, %v", guard, r, last, err)
		}
		last = r
	}
}

func TestRiskRefuses(t *testing.T) {
	t.Parallel()
	good := grade.Inspection{Process: grade.Estimate{Uncertainty: 1}, Measurement: .1, Tolerance: grade.Unlimited(), Acceptance: grade.Unlimited()}
	for name, change := range map[string]func(*grade.Inspection){
		"no spread":        func(i *grade.Inspection) { i.Process.Uncertainty = 0 },
		"no mean":          func(i *grade.Inspection) { i.Process.Value = math.NaN() },
		"endless spread":   func(i *grade.Inspection) { i.Process.Uncertainty = inf },
		"negative u":       func(i *grade.Inspection) { i.Measurement = -1 },
		"endless u":        func(i *grade.Inspection) { i.Measurement = inf },
		"crossed limits":   func(i *grade.Inspection) { i.Tolerance = grade.Interval{Lower: 1, Upper: 0} },
		"no acceptance at": func(i *grade.Inspection) { i.Acceptance.Lower = math.NaN() },
	} {
		i := good
		change(&i)
		_, err := grade.Risk(i)
		var f *fault.Error
		if !errors.As(err, &f) || f.Code != "grade.figure_outside" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := grade.Risk(good); err != nil {
		t.Errorf("the good one: %v", err)
	}
}

// Probability at the acceptance limit for guard bands of r times U, k = 2 (the
// risks of ILAC-G8:09/2019, table 1, from memory).
func TestAcceptance(t *testing.T) {
	t.Parallel()
	for r, want := range map[float64]float64{0: .5, .5: .841345, .83: .951543, 1: .977250, 1.5: .998650} {
		limit := grade.Interval{Lower: -inf, Upper: 7}
		accepted := limit.Acceptance(r * 2 * .25)
		got := grade.Estimate{Value: accepted.Upper, Uncertainty: .25}.Conformity(limit)
		if math.Abs(got-want) > 1e-6 || !math.IsInf(accepted.Lower, -1) {
			t.Errorf("r = %v: %v at %v, want %v", r, got, accepted, want)
		}
	}
}

// Figures beyond all measure give no number, and give it soon.
func TestRiskWithoutMeasure(t *testing.T) {
	t.Parallel()
	i := grade.Inspection{Process: grade.Estimate{Value: 1, Uncertainty: 1e-300}, Measurement: 1e308, Tolerance: grade.Interval{Lower: -inf, Upper: 1e308}, Acceptance: grade.Unlimited()}
	r, err := grade.Risk(i)
	if err != nil || r.Consumer > 1 || r.Producer > 1 {
		t.Errorf("%+v, %v", r, err)
	}
}

func BenchmarkRisk(b *testing.B) {
	i := grade.Inspection{Process: grade.Estimate{Uncertainty: .6}, Measurement: .1, Tolerance: grade.Interval{Lower: -1, Upper: 1}, Acceptance: grade.Interval{Lower: -.9, Upper: .9}}
	for b.Loop() {
		if _, err := grade.Risk(i); err != nil {
			b.Fatal(err)
		}
	}
}
