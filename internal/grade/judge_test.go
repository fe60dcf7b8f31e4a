package grade_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/fault"
	"benchtag/internal/grade"
	"benchtag/internal/measure"
)

func q(text string) measure.Quantity {
	got, err := measure.Parse(text)
	if err != nil {
		panic(text + ": " + err.Error())
	}
	return got
}

// opt is q, or nil for no text.
func opt(text string) *measure.Quantity {
	if text == "" {
		return nil
	}
	got := q(text)
	return &got
}

func between(low, high string) grade.Range { return grade.Range{Min: opt(low), Max: opt(high)} }

// sound is a request in which nothing keeps the measurement from deciding.
func sound(value, u string, newer, service grade.Range) grade.Request {
	return grade.Request{Value: q(value), Uncertainty: opt(u), New: newer, Service: service,
		Source: grade.FromMaker, Gauge: grade.InCalibration}
}

func judged(t *testing.T, r grade.Request) grade.Verdict {
	t.Helper()
	v, err := grade.Judge(r)
	if err != nil {
		t.Fatalf("%+v: %v", r, err)
	}
	return v
}

// The example of a service limit of 0.100 mm and u = 0.005 mm: probabilities by
// the definition, outcomes by ISO 14253-1 with g = U, k = 2.
func TestServiceLimitExample(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		value string
		pc    float64
		want  grade.Outcome
	}{
		{"0.080 mm", .999968, grade.Within}, {"0.090 mm", .977250, grade.Within}, {"0.090001 mm", .97724, grade.Undecided},
		{"0.095 mm", .841345, grade.Undecided}, {"0.099 mm", .579260, grade.Undecided}, {"0.100 mm", .5, grade.Undecided},
		{"0.105 mm", .158655, grade.Undecided}, {"0.110 mm", .022750, grade.Undecided}, {"0.110001 mm", .02274, grade.Beyond},
		{"0.112 mm", .008198, grade.Beyond},
	} {
		v := judged(t, sound(c.value, "0.010 mm", grade.Range{}, between("", "0.100 mm")))
		if v.Outcome != c.want || math.Abs(*v.Service.Probability-c.pc) > 1e-5 {
			t.Errorf("%s: %s with %v, want %s with %v", c.value, v.Outcome, *v.Service.Probability, c.want, c.pc)
		}
	}
}

func TestGrades(t *testing.T) {
	t.Parallel()
	up := [2]grade.Range{between("36.000 mm", "36.025 mm"), between("", "36.125 mm")} // a bore
	down := [2]grade.Range{between("19.980 mm", "20.000 mm"), between("19.900 mm", "")}
	for _, c := range []struct {
		name, value, u string
		limits         [2]grade.Range
		want           grade.Grade
		outcome        grade.Outcome
		left           float64
	}{
		{"as new", "36.010 mm", "0.004 mm", up, grade.AsNew, grade.Within, 100},
		{"inside the new limits, not proven", "36.022 mm", "0.004 mm", up, grade.Serviceable, grade.Within, 100},
		{"serviceable", "36.075 mm", "0.004 mm", up, grade.Serviceable, grade.Within, 50},
		{"a tenth left", "36.115 mm", "0.004 mm", up, grade.Serviceable, grade.Within, 10},
		{"less than a tenth left", "36.116 mm", "0.004 mm", up, grade.NearLimit, grade.Within, 9},
		{"undecided", "36.123 mm", "0.004 mm", up, grade.None, grade.Undecided, 2},
		{"on the limit", "36.125 mm", "0.004 mm", up, grade.None, grade.Undecided, 0},
		{"beyond", "36.130 mm", "0.004 mm", up, grade.BeyondLimit, grade.Beyond, -5},
		{"a shaft as new", "19.990 mm", "0.004 mm", down, grade.AsNew, grade.Within, 100},
		{"a shaft near its limit", "19.907 mm", "0.004 mm", down, grade.NearLimit, grade.Within, 8.75},
		{"a shaft beyond", "19.890 mm", "0.004 mm", down, grade.BeyondLimit, grade.Beyond, -12.5},
		{"fitted wrongly: under what a new one may be", "35.900 mm", "0.004 mm", up, grade.Serviceable, grade.Within, 100},
	} {
		v := judged(t, sound(c.value, c.u, c.limits[0], c.limits[1]))
		if v.Grade != c.want || v.Suggests != c.want || v.Outcome != c.outcome || v.CountsAs != c.outcome {
			t.Errorf("%s: %s, grade %d (%s), want %s, %d", c.name, v.Outcome, v.Grade, v.CountsAs, c.outcome, c.want)
		}
		if v.WearLeft == nil || math.Abs(*v.WearLeft-c.left) > 1e-9 {
			t.Errorf("%s: wear left %v, want %v", c.name, v.WearLeft, c.left)
		}
	}
}

// Limits that lack a side, or all.
func TestGradesWithFewLimits(t *testing.T) {
	t.Parallel()
	none := grade.Range{}
	for _, c := range []struct {
		name           string
		value          string
		newer, service grade.Range
		want           grade.Grade
		outcome        grade.Outcome
	}{
		{"no limits", "1 mm", none, none, grade.None, grade.NoLimit},
		{"new limits alone, as new", "1 mm", between("", "1.1 mm"), none, grade.AsNew, grade.Within},
		{"new limits alone, not proven as new", "1.095 mm", between("", "1.1 mm"), none, grade.None, grade.NoLimit},
		{"new limits alone, far from new", "9 mm", between("", "1.1 mm"), none, grade.None, grade.NoLimit},
		{"service limit alone", "1 mm", none, between("", "1.1 mm"), grade.Serviceable, grade.Within},
		{"service limit alone, close to it", "1.089 mm", none, between("", "1.1 mm"), grade.Serviceable, grade.Within},
		{"new and service the same", "1.089 mm", between("", "1.1 mm"), between("", "1.1 mm"), grade.AsNew, grade.Within},
		{"limits too narrow for the gauge", "1.005 mm", none, between("1 mm", "1.01 mm"), grade.None, grade.Undecided},
		{"and beyond them all the same", "1.021 mm", none, between("1 mm", "1.01 mm"), grade.BeyondLimit, grade.Beyond},
	} {
		v := judged(t, sound(c.value, "0.01 mm", c.newer, c.service))
		if v.Grade != c.want || v.Outcome != c.outcome {
			t.Errorf("%s: %s, grade %d, want %s, %d", c.name, v.Outcome, v.Grade, c.outcome, c.want)
		}
	}
}

// Roundness in the manner of a published diesel manual: standard 0.01 mm or
// less, limit 0.03 mm.
func TestRoundness(t *testing.T) {
	t.Parallel()
	for value, want := range map[string]grade.Grade{
		"0.006 mm": grade.AsNew, "0.009 mm": grade.Serviceable, "0.020 mm": grade.Serviceable,
		"0.0285 mm": grade.None, "0.035 mm": grade.BeyondLimit,
	} {
		v := judged(t, sound(value, "0.002 mm", between("", "0.01 mm"), between("", "0.03 mm")))
		if v.Grade != want {
			t.Errorf("%s: grade %d (%s), want %d", value, v.Grade, v.Outcome, want)
		}
	}
}

func TestRules(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		rule  grade.Rule
		value string
		want  grade.Outcome
		guard string
	}{
		{grade.Guarded, "0.0910 mm", grade.Undecided, "0.01 mm"}, {"", "0.0910 mm", grade.Undecided, "0.01 mm"},
		{grade.Guarded95, "0.0910 mm", grade.Within, "0.008225 mm"}, {grade.Guarded95, "0.091776 mm", grade.Undecided, "0.008225 mm"},
		{grade.Guarded95, "0.091775 mm", grade.Within, "0.008225 mm"}, {grade.Guarded95, "0.108226 mm", grade.Beyond, "0.008225 mm"},
		{grade.Simple, "0.100 mm", grade.Within, "0 mm"}, {grade.Simple, "0.100001 mm", grade.Beyond, "0 mm"},
	} {
		r := sound(c.value, "0.010 mm", grade.Range{}, between("", "0.100 mm"))
		r.Rule = c.rule
		v := judged(t, r)
		guard, err := measure.Convert(v.Guard, measure.Micrometre)
		if err != nil {
			t.Fatal(err)
		}
		want, err := measure.Compare(guard, q(c.guard))
		if v.Outcome != c.want || want != 0 || err != nil {
			t.Errorf("%s, %s: %s with guard %v, want %s with %s", c.rule, c.value, v.Outcome, v.Guard, c.want, c.guard)
		}
	}
	bare := sound("0.095 mm", "", grade.Range{}, between("", "0.100 mm"))
	bare.Rule = grade.Simple
	if v := judged(t, bare); v.Outcome != grade.Within || v.Service.Probability != nil {
		t.Errorf("simple without an uncertainty: %s, %v", v.Outcome, v.Service.Probability)
	}
}

// What keeps a measurement from deciding, one by one.
func TestIndicative(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		change func(*grade.Request)
		words  string
	}{
		{"no source", func(r *grade.Request) { r.Source = "" }, "no source"},
		{"none", func(r *grade.Request) { r.Source = grade.NoSource }, "no source"},
		{"an example", func(r *grade.Request) { r.Source = grade.FromExample }, "example"},
		{"an example in a demonstration, with a bad gauge", func(r *grade.Request) {
			r.Source, r.Demo, r.Gauge = grade.FromExample, true, grade.OutOfCalibration
		}, "out of calibration"},
		{"gauge out", func(r *grade.Request) { r.Gauge = grade.OutOfCalibration }, "out of calibration"},
		{"no gauge", func(r *grade.Request) { r.Gauge = grade.NoGauge }, "no calibrated gauge"},
		{"nothing said of a gauge", func(r *grade.Request) { r.Gauge = "" }, "no calibrated gauge"},
		{"a photo", func(r *grade.Request) { r.FromPhoto = true }, "photo"},
		{"a doubtful way", func(r *grade.Request) { r.Indicative = true }, "indicative"},
	} {
		for value, suggests := range map[string]grade.Grade{"0.05 mm": grade.Serviceable, "0.2 mm": grade.BeyondLimit} {
			r := sound(value, "0.01 mm", grade.Range{}, between("", "0.1 mm"))
			c.change(&r)
			v := judged(t, r)
			if !v.Indicative || v.Grade != grade.None || v.Suggests != suggests || v.CountsAs != grade.NoLimit {
				t.Errorf("%s, %s: %+v", c.name, value, v)
			}
			if len(v.IndicativeBecause) != 1 || !strings.Contains(v.IndicativeBecause[0], c.words) {
				t.Errorf("%s: because %v", c.name, v.IndicativeBecause)
			}
		}
	}
	for _, kind := range []grade.SourceKind{grade.FromMaker, grade.FromStandard, grade.FromShop, grade.FromExample} {
		r := sound("0.05 mm", "0.01 mm", grade.Range{}, between("", "0.1 mm"))
		r.Source, r.Demo = kind, kind == grade.FromExample
		if v := judged(t, r); v.Indicative || v.Grade != grade.Serviceable {
			t.Errorf("%s decides: %+v", kind, v)
		}
	}
}

// On brakes, steering and wheels undecided counts as beyond.
func TestCountsAs(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		safety grade.Safety
		value  string
		photo  bool
		want   grade.Outcome
	}{
		{grade.Critical, "0.095 mm", false, grade.Beyond}, {grade.Major, "0.095 mm", false, grade.Undecided},
		{grade.Ordinary, "0.095 mm", false, grade.Undecided}, {"", "0.095 mm", false, grade.Undecided},
		{grade.Critical, "0.05 mm", false, grade.Within}, {grade.Critical, "0.2 mm", false, grade.Beyond},
		{grade.Critical, "0.05 mm", true, grade.NoLimit}, {grade.Critical, "0.095 mm", true, grade.Beyond},
		{grade.Critical, "0.2 mm", true, grade.Beyond}, {grade.Major, "0.2 mm", true, grade.NoLimit},
	} {
		r := sound(c.value, "0.01 mm", grade.Range{}, between("", "0.1 mm"))
		r.Safety, r.FromPhoto = c.safety, c.photo
		if v := judged(t, r); v.CountsAs != c.want {
			t.Errorf("%+v: counts as %s", c, v.CountsAs)
		}
	}
}

func TestSettle(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		value, u, most, resolution string
		rule                       grade.Rule
	}{
		{"0.095 mm", "0.010 mm", "0.005 mm", "0.002 mm", grade.Guarded},
		{"0.105 mm", "0.010 mm", "0.004999 mm", "0.002 mm", grade.Guarded},
		{"0.095 mm", "0.010 mm", "0.006079 mm", "0.005 mm", grade.Guarded95},
		{"0.099 mm", "0.010 mm", "0.001 mm", "0.0005 mm", grade.Guarded},
		{"0.100 mm", "0.010 mm", "", "", grade.Guarded},
		{"0.100001 mm", "0.010 mm", "", "", grade.Guarded},
		{"3.9 thou", "0.5 thou", "0.037007874016 thou", "0.02 thou", grade.Guarded},
	} {
		r := sound(c.value, c.u, grade.Range{}, between("", "0.100 mm"))
		r.Rule = c.rule
		if c.rule == grade.Guarded95 {
			r.Value = q("0.0950000 mm")
			r.Uncertainty = opt("0.012 mm")
		}
		v := judged(t, r)
		if v.Outcome != grade.Undecided || v.Settle == nil {
			t.Fatalf("%s: %s", c.value, v.Outcome)
		}
		if diff := cmp.Diff([]string{c.most, c.resolution}, []string{written(v.Settle.Uncertainty), written(v.Settle.Resolution)}); diff != "" {
			t.Errorf("%s: %s", c.value, diff)
		}
	}
}

func written(q *measure.Quantity) string {
	if q == nil {
		return ""
	}
	return q.String()
}

// Other dimensions, with mixed units; a degree Fahrenheit is five ninths of a
// kelvin where it is a difference.
func TestOtherDimensions(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		value, u string
		service  grade.Range
		want     grade.Outcome
	}{
		{"45 psi", "1 psi", between("3 bar", ""), grade.Within}, {"44 psi", "1 psi", between("3 bar", ""), grade.Undecided}, {"2.9 bar", "5 kPa", between("3 bar", ""), grade.Beyond},
		{"12.6 V", "100 mV", between("12.4 V", ""), grade.Within}, {"80 °C", "9 °F", between("", "85 °C"), grade.Within}, {"80 °C", "9.1 °F", between("", "85 °C"), grade.Undecided},
		{"176 °F", "5 °C", between("", "85 °C"), grade.Within}, {"0.30 Ω", "5 mΩ", between("290 mΩ", "0.35 Ω"), grade.Within}, {"3 %", "1 %", between("", "2 %"), grade.Undecided},
		{"20 Nm", "1 Nm", between("14 ft-lb", ""), grade.Within}, {"1000 rpm", "10 rpm", between("900 rpm", "1100 rpm"), grade.Within},
	} {
		if v := judged(t, sound(c.value, c.u, grade.Range{}, c.service)); v.Outcome != c.want {
			t.Errorf("%+v: %s", c, v.Outcome)
		}
	}
}

// The smallest uncertainty is one: on the limit it leaves the value undecided.
func TestUncertaintyIsRoundedUp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ value, u, guard string }{
		{"0.100 mm", "0.000000000001 thou", "0.000001 mm"}, {"1 V", "0.000000000001 mV", "0.000000001 V"}, {"20 °C", "0.000000000001 °F", "0.000000001 °C"},
		{"0.100 mm", "0.0000001 mm", "0.000001 mm"}, {"0.100 mm", "0.0000011 mm", "0.000002 mm"}, {"0.100 mm", "0.000001 mm", "0.000001 mm"},
	} {
		v := judged(t, sound(c.value, c.u, grade.Range{}, between("", c.value)))
		if v.Outcome != grade.Undecided || v.Guard.String() != c.guard {
			t.Errorf("%+v: %s, guard %v", c, v.Outcome, v.Guard)
		}
	}
}

// Every dimension that has a unit can be counted, and the grid is its own.
func TestEveryUnitIsJudged(t *testing.T) {
	t.Parallel()
	for _, u := range measure.Units() {
		one, two, tenth := q("1 "+string(u)), q("2 "+string(u)), q("0.1 "+string(u))
		v, err := grade.Judge(grade.Request{Value: one, Uncertainty: &tenth, Service: grade.Range{Max: &two}, Source: grade.FromMaker, Gauge: grade.InCalibration})
		if err != nil || v.Outcome != grade.Within || v.Grade != grade.Serviceable {
			t.Errorf("%s: %v, %v", u, v.Outcome, err)
		}
	}
}

func TestJudgeRefuses(t *testing.T) {
	t.Parallel()
	change := func(f func(*grade.Request)) grade.Request {
		r := sound("0.05 mm", "0.01 mm", between("", "0.02 mm"), between("", "0.1 mm"))
		f(&r)
		return r
	}
	for _, c := range []struct {
		code, pointer string
		r             grade.Request
	}{
		{"grade.uncertainty_missing", "/uncertainty", change(func(r *grade.Request) { r.Uncertainty = nil })},
		{"grade.uncertainty_both", "/standard_uncertainty", change(func(r *grade.Request) { r.StandardUncertainty = opt("1 mm") })},
		{"grade.uncertainty_negative", "/uncertainty", change(func(r *grade.Request) { r.Uncertainty = opt("-1 mm") })},
		{"grade.uncertainty_negative", "/standard_uncertainty", change(func(r *grade.Request) { r.Uncertainty, r.StandardUncertainty = nil, opt("-1 mm") })},
		{"grade.rule_unknown", "/rule", change(func(r *grade.Request) { r.Rule = "half" })},
		{"grade.source_unknown", "/source", change(func(r *grade.Request) { r.Source = "hearsay" })},
		{"grade.safety_unknown", "/safety", change(func(r *grade.Request) { r.Safety = "some" })},
		{"grade.gauge_unknown", "/gauge", change(func(r *grade.Request) { r.Gauge = "ok" })},
		{"grade.near_outside", "/near_percent", change(func(r *grade.Request) { r.NearPercent = 100 })},
		{"grade.near_outside", "/near_percent", change(func(r *grade.Request) { r.NearPercent = -1 })},
		{"grade.limits_crossed", "/service/min", change(func(r *grade.Request) { r.Service = between("2 mm", "1 mm") })},
		{"grade.limits_crossed", "/new/min", change(func(r *grade.Request) { r.New = between("2 mm", "1 mm") })},
		{"grade.limits_outside", "/new", change(func(r *grade.Request) { r.New = between("", "0.11 mm") })},
		{"grade.limits_outside", "/new", change(func(r *grade.Request) { r.New, r.Service = between("", "0.1 mm"), between("0.2 mm", "") })},
		{"measure.unit_incompatible", "/service/max", change(func(r *grade.Request) { r.Service = between("", "1 V") })},
		{"measure.unit_incompatible", "/uncertainty", change(func(r *grade.Request) { r.Uncertainty = opt("1 V") })},
		{"measure.unit_incompatible", "/uncertainty", change(func(r *grade.Request) {
			r.Value, r.New, r.Service = q("80 °C"), grade.Range{}, grade.Range{}
		})},
		{"measure.value_out_of_range", "/value", change(func(r *grade.Request) { r.Value = q("9000000 km") })},
		{"measure.value_out_of_range", "/uncertainty", change(func(r *grade.Request) { r.Uncertainty = opt("9000000 km") })},
		{"measure.value_out_of_range", "/service/max", change(func(r *grade.Request) {
			r.Value, r.Uncertainty, r.New, r.Service = q("1 MΩ"), opt("1 Ω"), grade.Range{}, between("", "900000000000 MΩ")
		})},
	} {
		_, err := grade.Judge(c.r)
		var f *fault.Error
		if !errors.As(err, &f) || f.Code != c.code || f.Kind != fault.Meaning || len(f.Fields) != 1 || f.Fields[0].Pointer != c.pointer {
			t.Errorf("got %#v, want %s at %s", err, c.code, c.pointer)
		}
	}
}

func TestEffective(t *testing.T) {
	t.Parallel()
	for _, a := range append(grade.Grades(), grade.None) {
		for _, b := range append(grade.Grades(), grade.None) {
			got := grade.Effective(a, b)
			if got != grade.Effective(b, a) || (got != a && got != b) || got < a || got < b {
				t.Errorf("Effective(%d, %d) = %d", a, b, got)
			}
		}
	}
}

func TestGradeWords(t *testing.T) {
	t.Parallel()
	var words []string
	for i, g := range grade.Grades() {
		if int(g) != i {
			t.Errorf("grade %d stands at %d", g, i)
		}
		words = append(words, g.Words())
	}
	if diff := cmp.Diff([]string{"as new", "serviceable", "near limit", "beyond limit", "failed"}, words); diff != "" {
		t.Error(diff)
	}
	if grade.None.Words() != "no grade" || grade.Grade(9).Words() != "no grade" {
		t.Error("what is no grade has no word for one")
	}
}

// The working holds every figure, in an order in which it can be done again.
func TestWorking(t *testing.T) {
	t.Parallel()
	v := judged(t, sound("0.095 mm", "0.010 mm", between("", "0.050 mm"), between("0 mm", "0.100 mm")))
	want := []string{
		"Value y = 0.095 mm; expanded uncertainty U = 0.010 mm (k = 2), so u = U/2 = 0.005 mm.",
		"Rule guarded: guard g = U = 0.01 mm (ISO 14253-1:2013).",
		"Compared in whole nanometres, the uncertainty rounded up: y = 95000, U = 10000, g = 10000.",
		"Service limits (source: maker): at least 0 mm (proven from 0 mm + g = 0.01 mm, proven below it under 0 mm − g = -0.01 mm); at most 0.100 mm (proven up to 0.100 mm − g = 0.09 mm, proven above it over 0.100 mm + g = 0.11 mm). The value is in between, where neither is proven.",
		"Probability of conformity to them: Φ((T_U − y)/u) = Φ(0.005 mm / 0.005 mm) = Φ(1), Φ((T_L − y)/u) = Φ(-0.095 mm / 0.005 mm) = Φ(-19); the difference = 0.841345 (JCGM 106:2012, 7.2 to 7.4).",
		"Limits for a new part (source: maker): at most 0.050 mm (proven up to 0.050 mm − g = 0.04 mm, proven above it over 0.050 mm + g = 0.06 mm). The value is proven beyond.",
		"Probability of conformity to them: Φ((T_U − y)/u) = Φ(-0.045 mm / 0.005 mm) = Φ(-9) = 0 (JCGM 106:2012, 7.2 to 7.4).",
		"Wear allowance = |service limit − limit for a new part| = 0.05 mm; left = 0.005 mm, that is 10 %; near the limit below 10 %.",
		"A gauge with U (k = 2) of at most 0.005 mm would decide, if the value stays: as far as the limit is; for example one with a resolution of 0.002 mm, which takes resolution/√3, at most half, of that U (common practice, no source).",
		"Outcome: undecided; no measured grade.",
	}
	if diff := cmp.Diff(want, v.Working); diff != "" {
		t.Error(diff)
	}
}

func ExampleJudge() {
	most, u := q("0.100 mm"), q("0.010 mm")
	v, err := grade.Judge(grade.Request{Value: q("0.095 mm"), Uncertainty: &u, Service: grade.Range{Max: &most},
		Source: grade.FromMaker, Gauge: grade.InCalibration})
	fmt.Println(v.Outcome, v.Grade.Words(), err)
	fmt.Println(v.Reasons[0])
	// Output:
	// undecided no grade <nil>
	// Too close to a service limit for this uncertainty: undecided, measure again with a better gauge.
}

func BenchmarkJudge(b *testing.B) {
	r := sound("36.116 mm", "0.004 mm", between("36.000 mm", "36.025 mm"), between("", "36.125 mm"))
	for b.Loop() {
		if _, err := grade.Judge(r); err != nil {
			b.Fatal(err)
		}
	}
}
