package measure_test

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"benchtag/internal/measure"
)

// worked is a request that each formula answers: names and values of readings,
// one a place, and the figures besides.
type worked struct {
	name, formula string
	readings      [][2]string
	with          map[string]string
}

func workedCases() []worked {
	return []worked{
		{"backlash", "backlash", [][2]string{{"play_1", "0.05 mm"}, {"play_2", "0.08 mm"}}, nil},
		{"bearing clearance", "bearing_clearance", [][2]string{{"play", "17 um"}}, nil},
		{"chain, both ways", "chain_elongation", [][2]string{{"over", "332.46 mm"}, {"between", "312.14 mm"}}, map[string]string{"pitches": "20", "pitch": "15.875 mm"}},
		{"chain, mean of two", "chain_elongation", [][2]string{{"length_1", "322.3 mm"}, {"length_2", "321.0 mm"}}, map[string]string{"pitches": "20", "pitch": "15.875", "take": "mean"}},
		{"sag", "chain_sag", [][2]string{{"span", "600 mm"}, {"extra", "2 mm"}}, nil},
		{"slack", "chain_slack", [][2]string{{"up", "541 mm"}, {"down", "512 mm"}}, nil},
		{"clearance", "clearance", [][2]string{{"bore", "77.012 mm"}, {"piston", "76.955 mm"}}, nil},
		{"clearance of means", "clearance", [][2]string{{"bore_1", "77.012 mm"}, {"bore_2", "77.002 mm"}, {"piston", "76.955 mm"}}, map[string]string{"take": "mean"}},
		{"clearance with needles", "clearance", [][2]string{{"eye", "22.012 mm"}, {"pin", "17.994 mm"}, {"needle", "1.998 mm"}}, nil},
		{"clearance in thou", "clearance", [][2]string{{"bore", "3.0316 in"}, {"piston", "3.0300 in"}}, nil},
		{"strip", "crush_strip", [][2]string{{"from", "0.038 mm"}, {"to", "0.051 mm"}}, nil},
		{"diameter", "diameter", [][2]string{{"d_1", "16.00 mm"}, {"d_2", "15.98 mm"}}, nil},
		{"end float", "end_float", [][2]string{{"pulled", "0.17 mm"}, {"pushed", "0.02 mm"}}, nil},
		{"expansion", "expansion_coefficient", [][2]string{{"length0", "1499.9 mm"}, {"length1", "1502.1 mm"}, {"temperature0", "15 °C"}, {"temperature1", "99.95 °C"}}, nil},
		{"gap", "gap", [][2]string{{"goes", "0.20 mm"}, {"stops", "0.25 mm"}}, nil},
		{"over pins", "gear_over_pins", [][2]string{{"size", "64.32 mm"}}, nil},
		{"span", "gear_span", [][2]string{{"size", "21.5 mm"}}, nil},
		{"thickness", "gear_thickness_loss", [][2]string{{"span_new", "21.505 mm"}, {"span", "21.455 mm"}}, nil},
		{"insulation", "insulation_at_40", [][2]string{{"resistance", "20 MOhm"}, {"temperature", "25 °C"}}, nil},
		{"leak-down", "leak_down", [][2]string{{"supply", "600 kPa"}, {"cylinder", "510 kPa"}}, nil},
		{"at 20", "length_at_20", [][2]string{{"length", "76.955 mm"}}, map[string]string{"temperature": "30", "part_expansion": "aluminium", "gauge_expansion": "steel"}},
		{"mean", "mean", [][2]string{{"a", "1050 kPa"}, {"b", "1040 kPa"}, {"c", "1030 kPa"}}, nil},
		{"round", "out_of_round", [][2]string{{"along", "77.010 mm"}, {"across", "77.001 mm"}}, nil},
		{"phases, one low", "phase_unbalance", [][2]string{{"u", "203 V"}, {"v", "210 V"}, {"w", "212 V"}}, nil},
		{"phases, one high", "phase_unbalance", [][2]string{{"u", "14.9 V"}, {"v", "14.1 V"}, {"w", "14.0 V"}}, nil},
		{"index", "polarisation_index", [][2]string{{"ten_minutes", "500 MOhm"}, {"one_minute", "200 MOhm"}}, nil},
		{"spread", "pressure_spread", [][2]string{{"1", "1200 kPa"}, {"2", "1140 kPa"}, {"3", "1020 kPa"}}, nil},
		{"ratio", "ratio", [][2]string{{"1", "1200 kPa"}, {"2", "1020 kPa"}}, nil},
		{"winding", "resistance_at_20", [][2]string{{"resistance", "0.62 Ohm"}, {"leads", "0.15 Ohm"}, {"temperature", "80 °C"}}, nil},
		{"winding by its zero", "resistance_at_20", [][2]string{{"resistance", "0.62 Ohm"}, {"temperature", "80 °C"}}, map[string]string{"inferred_zero": "234.5"}},
		{"run-out", "run_out", [][2]string{{"highest", "1.32 mm"}, {"lowest", "1.19 mm"}}, nil},
		{"free length", "spring_free_length", [][2]string{{"a", "41.2 mm"}, {"b", "40.6 mm"}}, nil},
		{"rate", "spring_rate", [][2]string{{"force0", "5 kgf"}, {"force1", "35 kgf"}, {"length0", "60 mm"}, {"length1", "42 mm"}}, nil},
		{"taper", "taper", [][2]string{{"along_1", "77.010 mm"}, {"along_2", "77.004 mm"}}, nil},
		{"extension", "torque_with_extension", [][2]string{{"torque", "50 N.m"}, {"wrench", "300 mm"}, {"extension", "60 mm"}}, map[string]string{"angle": "45"}},
		{"extension, back", "torque_with_extension", [][2]string{{"set", "40 N.m"}, {"wrench", "300 mm"}, {"extension", "60 mm"}}, map[string]string{"angle": "30"}},
		{"drop", "voltage_drop", [][2]string{{"source", "12.61 V"}, {"load", "12.18 V"}}, nil},
		{"wire", "voltage_drop", [][2]string{{"length", "3000 mm"}, {"current", "10 A"}}, map[string]string{"area": "2.5"}},
	}
}

// request lays a case out with a gauge of one step for each reading.
func (w worked) request(t testing.TB, step float64) measure.Request {
	t.Helper()
	req := measure.Request{Formula: w.formula, With: w.with}
	for _, r := range w.readings {
		one := reading(t, r[0], nil, r[1])
		one.Gauge = &measure.Gauge{Resolution: nudged(t, quantityLike(t, one.Values[0], step), 0)}
		req.Readings = append(req.Readings, one)
	}
	return req
}

// quantityLike gives so much in the unit of another quantity.
func quantityLike(t testing.TB, like measure.Quantity, f float64) measure.Quantity {
	t.Helper()
	return quantity(t, decimalOf(f), like.Unit)
}

func decimalOf(f float64) string {
	text := strings.TrimRight(fixed(f), "0")
	return strings.TrimSuffix(text, ".")
}

func nudged(t testing.TB, q measure.Quantity, by float64) measure.Quantity {
	t.Helper()
	return quantity(t, decimalOf(float(t, q)+by), q.Unit)
}

// TestSensitivitiesAreSlopes holds every sensitivity of every formula against
// the difference that a small change of the reading makes: the definition of a
// partial derivative, apart from the formulas' own.
func TestSensitivitiesAreSlopes(t *testing.T) {
	t.Parallel()
	for _, w := range workedCases() {
		t.Run(w.name, func(t *testing.T) {
			t.Parallel()
			base := w.request(t, 0.001)
			got, err := measure.Derive(base)
			if err != nil {
				t.Fatal(err)
			}
			bySize := map[string]float64{}
			for _, line := range got.Budget {
				if line.What == "resolution" {
					bySize[line.Of] = line.Sensitivity * inUnit(t, line.Unit, base)
				}
			}
			for i, r := range base.Readings {
				h := 0.002 * math.Max(1, float(t, r.Values[0])/1000)
				up, down := w.request(t, 0.001), w.request(t, 0.001)
				up.Readings[i].Values[0] = nudged(t, r.Values[0], h)
				down.Readings[i].Values[0] = nudged(t, r.Values[0], -h)
				slope := (derived(t, up) - derived(t, down)) / (2 * h)
				want, there := bySize[nameOf(bySize, r.Of)]
				if !there {
					want = 0
				}
				if math.Abs(slope-want) > 0.002*math.Max(math.Abs(slope), math.Abs(want))+2e-3*math.Abs(float(t, got.Value))/math.Max(1, float(t, r.Values[0])) {
					t.Errorf("%s: the budget says %g, a change of %g gives %g", r.Of, want, h, slope)
				}
			}
		})
	}
}

// inUnit gives how many of the line's unit one of the readings' is: lengths
// are reckoned in millimetres.
func inUnit(t testing.TB, line measure.Unit, req measure.Request) float64 {
	t.Helper()
	for _, r := range req.Readings {
		unit := r.Values[0].Unit
		if unit.Dimension() == line.Dimension() && line.Dimension() == measure.Length {
			in, err := measure.Convert(quantity(t, "1", unit), line)
			if err != nil {
				t.Fatal(err)
			}
			return float(t, in)
		}
	}
	return 1
}

// nameOf finds the line of a reading, whose name is written with blanks.
func nameOf(lines map[string]float64, of string) string {
	for _, name := range slices.Sorted(maps.Keys(lines)) {
		if name == of || name == strings.ReplaceAll(of, "_", " ") {
			return name
		}
	}
	return of
}

func derived(t testing.TB, req measure.Request) float64 {
	t.Helper()
	got, err := measure.Derive(req)
	if err != nil {
		t.Fatal(err)
	}
	return float(t, got.Value)
}

// TestEveryFormulaIsWorked holds that the cases above leave no formula out.
func TestEveryFormulaIsWorked(t *testing.T) {
	t.Parallel()
	left := map[string]bool{}
	for _, name := range measure.Formulas() {
		left[name] = true
		roles, _ := measure.Takes(name)
		if measure.Does(name) == "" || len(roles) == 0 {
			t.Errorf("%s does not say what it does or takes", name)
		}
	}
	if !slices.IsSorted(measure.Formulas()) || len(left) != len(measure.Formulas()) {
		t.Error("formulas are not in order, or named twice")
	}
	for _, w := range workedCases() {
		delete(left, w.formula)
	}
	if len(left) > 0 {
		t.Errorf("not worked: %v", slices.Sorted(maps.Keys(left)))
	}
}
