package measure_test

import (
	"math"
	"strconv"
	"testing"

	"benchtag/internal/measure"
)

func reading(t testing.TB, of string, gauge *measure.Gauge, values ...string) measure.Reading {
	t.Helper()
	r := measure.Reading{Of: of, Gauge: gauge}
	for _, v := range values {
		q, err := measure.Parse(v)
		if err != nil {
			t.Fatal(err)
		}
		r.Values = append(r.Values, q)
	}
	return r
}

func gauge(t testing.TB, resolution, uncertainty string) *measure.Gauge {
	t.Helper()
	g := &measure.Gauge{}
	var err error
	if g.Resolution, err = measure.Parse(resolution); err != nil {
		t.Fatal(err)
	}
	if uncertainty == "" {
		return g
	}
	if g.Uncertainty, err = measure.Parse(uncertainty); err != nil {
		t.Fatal(err)
	}
	return g
}

func float(t testing.TB, q measure.Quantity) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(q.Value.String(), 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Values by hand from the definitions; sources of the formulas stand with them.
func TestDerive(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name string
		in   measure.Request
		want float64
		unit measure.Unit
	}{
		{"36.020 shell, 35.985 journal", measure.Request{Formula: "clearance", Readings: []measure.Reading{reading(t, "shell", nil, "36.020 mm"), reading(t, "journal", nil, "35.985 mm")}}, 0.035, "mm"},
		{"greatest bore less smallest piston", measure.Request{Formula: "clearance", Readings: []measure.Reading{reading(t, "bore_1", nil, "77.010 mm"), reading(t, "bore_2", nil, "77.022 mm"), reading(t, "piston", nil, "76.955 mm")}}, 0.067, "mm"},
		{"20 pitches of 15.875: 322.3", measure.Request{Formula: "chain_elongation", With: map[string]string{"pitches": "20", "pitch": "15.875 mm"}, Readings: []measure.Reading{reading(t, "", nil, "322.3 mm")}}, 1.51181102, "%"},
		{"over and between the rollers", measure.Request{Formula: "chain_elongation", With: map[string]string{"pitches": "20", "pitch": "8 mm"}, Readings: []measure.Reading{reading(t, "over_1", nil, "168 mm"), reading(t, "between_1", nil, "156 mm"), reading(t, "over_2", nil, "167 mm"), reading(t, "between_2", nil, "155 mm")}}, 1.25, "%"},
		{"feeler .20 goes, .25 does not", measure.Request{Formula: "gap", Readings: []measure.Reading{reading(t, "goes", nil, "0.20 mm"), reading(t, "stops", nil, "0.25 mm")}}, 0.225, "mm"},
		{"100 to 75", measure.Request{Formula: "leak_down", Readings: []measure.Reading{reading(t, "supply", nil, "100 psi"), reading(t, "cylinder", nil, "75 psi")}}, 25, "%"},
		{"0.371 at 80 degrees", measure.Request{Formula: "resistance_at_20", With: map[string]string{"temperature": "80 °C"}, Readings: []measure.Reading{reading(t, "", nil, "0.371 Ohm")}}, 0.30021039, "Ohm"},
		{"203, 210, 212", measure.Request{Formula: "phase_unbalance", Readings: []measure.Reading{reading(t, "a", nil, "203 V"), reading(t, "b", nil, "210 V"), reading(t, "c", nil, "212 V")}}, 2.56, "%"},
		{"480, 476, 472", measure.Request{Formula: "phase_unbalance", Readings: []measure.Reading{reading(t, "a", nil, "480 V"), reading(t, "b", nil, "476 V"), reading(t, "c", nil, "472 V")}}, 0.84033613, "%"},
		{"20 MOhm at 25 degrees", measure.Request{Formula: "insulation_at_40", With: map[string]string{"temperature": "25 °C"}, Readings: []measure.Reading{reading(t, "", nil, "20 MOhm")}}, 7.07106781, "MOhm"},
		{"500.035 mm steel at 23.7 degrees by a gauge at 20", measure.Request{Formula: "length_at_20", Temperature: &measure.TakenAt{Part: reading(t, "", nil, "23.7 °C").Values[0], Gauge: reading(t, "", nil, "20 °C").Values[0], PartPPM: 11.7, GaugePPM: 11.7}, Readings: []measure.Reading{reading(t, "", nil, "500.035 mm")}}, 500.013354, "mm"},
		{"out of round at one of three levels", measure.Request{Formula: "out_of_round", Readings: []measure.Reading{reading(t, "top/x", nil, "77.00 mm"), reading(t, "top/y", nil, "77.03 mm"), reading(t, "middle/x", nil, "77.01 mm"), reading(t, "middle/y", nil, "77.02 mm")}}, 0.03, "mm"},
		{"taper in the worse direction", measure.Request{Formula: "taper", Readings: []measure.Reading{reading(t, "top/x", nil, "77.00 mm"), reading(t, "top/y", nil, "77.03 mm"), reading(t, "middle/x", nil, "77.01 mm"), reading(t, "middle/y", nil, "77.01 mm")}}, 0.02, "mm"},
		{"a dial of .04", measure.Request{Formula: "run_out", Readings: []measure.Reading{reading(t, "", nil, "0.04 mm")}}, 0.04, "mm"},
		{"12 and 10 bar", measure.Request{Formula: "pressure_spread", Readings: []measure.Reading{reading(t, "1", nil, "12 bar"), reading(t, "2", nil, "10 bar")}}, 16.6666667, "%"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			r, err := measure.Derive(tt.in)
			if err != nil {
				t.Fatal(err)
			}
			if got := float(t, r.Value); math.Abs(got-tt.want) > 1e-6*math.Max(1, math.Abs(tt.want)) || r.Value.Unit != tt.unit {
				t.Errorf("got %s, want %g %s", r.Value, tt.want, tt.unit)
			}
			if r.Known != (tt.in.Formula == "gap") || len(r.Working) == 0 || len(r.Warnings) == 0 {
				t.Errorf("without gauges: %+v", r)
			}
		})
	}
}

// A micrometer at 21.500 mm: s/√n .00058/√3, step .001, certificate .0005 with
// k = 2 give u .000508, U .0011 (talalspecialbolt.com, printed .0010).
func TestBudget(t *testing.T) {
	t.Parallel()
	g := gauge(t, "0.001 mm", "0.0005 mm")
	r, err := measure.Derive(measure.Request{Formula: "mean", Readings: []measure.Reading{reading(t, "", g, "21.4995 mm", "21.4995 mm", "21.5005 mm")}})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Budget) != 3 || !r.Known {
		t.Fatalf("%+v", r)
	}
	for i, want := range []float64{0.000577350 / math.Sqrt(3), 0.0005 / math.Sqrt(3), 0.00025} {
		if got := r.Budget[i].Contribution; math.Abs(got-want) > 1e-8 {
			t.Errorf("%s: %g, want %g", r.Budget[i].What, got, want)
		}
	}
	if got := float(t, r.Standard); math.Abs(got-0.000506897) > 1e-9 {
		t.Errorf("u = %g", got)
	}
	if r.Freedom < 10 || r.Freedom > 15 || r.Coverage < 2.1 || r.Coverage > 2.4 {
		t.Errorf("%g degrees of freedom, k = %g", r.Freedom, r.Coverage)
	}
}
