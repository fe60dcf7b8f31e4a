package reckon_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/reckon"
	"benchtag/internal/testkit"
)

// derived is what these tests read of a measure vector and its answer.
type derivedIn struct {
	Derive string            `json:"derive"`
	With   map[string]string `json:"with"`
}

type derivedValue struct {
	Value, Unit string
	Figures     map[string]struct{ Value, Unit string }
	Fits        []string
}

// calculated lists the formulas of gears, chains, bolts, fits and bearings.
func calculated() []string {
	return []string{
		"base_pitch", "bearing_clearance", "bearing_life", "bolt_stress_area", "chain_centres", "chain_length_pitches", "chain_limit", "chain_pitch",
		"combine", "contact_ratio", "impedance", "iso_4406", "particle_size", "resolution_uncertainty", "fit", "friction_torque", "gear_chordal", "gear_over_pins", "gear_span", "gear_thickness_loss", "involute",
		"preload_torque", "proof_load", "tolerance_grade", "tolerance_unit",
	}
}

func deriveVectors(t *testing.T) []testkit.Case[vector] {
	t.Helper()
	var out []testkit.Case[vector]
	for _, c := range testkit.Vectors[vector](t, filepath.Join("../../testdata/vectors", "measure")) {
		var in derivedIn
		if err := json.Unmarshal(c.Data.In, &in); err != nil {
			t.Fatal(err)
		}
		for _, name := range calculated() {
			if in.Derive == name {
				out = append(out, c)
			}
		}
	}
	if len(out) == 0 {
		t.Fatal("no vectors with a formula")
	}
	return out
}

func derive(t testing.TB, name string, with map[string]string) (derivedValue, error) {
	t.Helper()
	in, err := json.Marshal(derivedIn{name, with})
	if err != nil {
		t.Fatal(err)
	}
	answer, err := reckon.Run("measure", in)
	if err != nil {
		return derivedValue{}, err
	}
	text, err := json.Marshal(answer.Value)
	if err != nil {
		t.Fatal(err)
	}
	var v derivedValue
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	return v, nil
}

// TestWorkingHoldsEveryFigure holds that no figure comes out of nothing: each
// stands in the working, so that a person can find where it was reckoned.
func TestWorkingHoldsEveryFigure(t *testing.T) {
	t.Parallel()
	figures := 0
	for _, c := range deriveVectors(t) {
		if c.Data.WantErr != "" {
			continue
		}
		answer, err := reckon.Run("measure", c.Data.In)
		if err != nil {
			t.Fatal(c.Desc, err)
		}
		text, err := json.Marshal(answer.Value)
		if err != nil {
			t.Fatal(err)
		}
		var v derivedValue
		if err := json.Unmarshal(text, &v); err != nil {
			t.Fatal(err)
		}
		working := strings.Join(answer.Working, "\n")
		for name, f := range v.Figures {
			figures++
			if !strings.Contains(working, f.Value) {
				t.Errorf("%s: %s = %s is not in the working:\n%s", c.Desc, name, f.Value, working)
			}
		}
	}
	if figures == 0 {
		t.Error("no figures")
	}
}

// TestEveryFormulaIsShown holds that each has a vector that is answered and
// one row in the description.
func TestEveryFormulaIsShown(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, c := range deriveVectors(t) {
		var in derivedIn
		if err := json.Unmarshal(c.Data.In, &in); err != nil {
			t.Fatal(err)
		}
		seen[in.Derive] = seen[in.Derive] || c.Data.WantErr == ""
	}
	readme, err := os.ReadFile("../../testdata/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range calculated() {
		if !seen[name] {
			t.Errorf("%s has no vector", name)
		}
		if !strings.Contains(string(readme), "\n| `"+name+"` |") {
			t.Errorf("testdata/README.md does not describe %s", name)
		}
	}
	for _, row := range regexp.MustCompile("(?m)^\\| `([a-z_0-9]+)` \\|").FindAllStringSubmatch(string(readme), -1) {
		var f *fault.Error
		if _, err := derive(t, row[1], nil); errors.As(err, &f) && f.Code == "measure.derive_unknown" && seen[row[1]] {
			t.Errorf("testdata/README.md describes %s, which is not there", row[1])
		}
	}
}

// TestUnitsDoNotMatter gives the same gear and bolt in millimetres and in
// inches.
func TestUnitsDoNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		thou := rapid.IntRange(20, 400).Draw(rt, "thou")
		teeth := strconv.Itoa(rapid.IntRange(8, 80).Draw(rt, "teeth"))
		metric, err := derive(t, "gear_span", map[string]string{"teeth": teeth, "module": decimal(float64(thou) * 0.0254)})
		if err != nil {
			rt.Fatal(err)
		}
		for _, module := range []string{fmt.Sprint(thou, " thou"), decimal(float64(thou)/1000) + " in", decimal(float64(thou)*25.4) + " um"} {
			other, err := derive(t, "gear_span", map[string]string{"teeth": teeth, "module": module})
			if err != nil {
				rt.Fatal(err)
			}
			if off(metric.Value, other.Value) > 1e-8 {
				rt.Fatalf("%s gives %s, and in millimetres %s", module, other.Value, metric.Value)
			}
		}
	})
}

func decimal(f float64) string { return strconv.FormatFloat(math.Round(f*1e6)/1e6, 'f', -1, 64) }

// off gives by what part two figures differ.
func off(a, b string) float64 {
	x, _ := strconv.ParseFloat(a, 64) // what is no number is nought, and differs
	y, _ := strconv.ParseFloat(b, 64)
	return math.Abs(x-y) / math.Max(math.Abs(x), math.Abs(y))
}

// TestTorqueComesBack reckons a torque from a preload and that from it again.
func TestTorqueComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		with := map[string]string{
			"thread":  rapid.SampledFrom([]string{"M6", "M8", "M10x1.25", "5/16-18"}).Draw(rt, "thread"),
			"factor":  "0." + strconv.Itoa(rapid.IntRange(11, 30).Draw(rt, "factor")),
			"preload": strconv.Itoa(rapid.IntRange(1000, 40_000).Draw(rt, "preload")),
		}
		there, err := derive(t, "preload_torque", with)
		if err != nil {
			rt.Fatal(err)
		}
		preload := with["preload"]
		delete(with, "preload")
		with["torque"] = there.Value
		back, err := derive(t, "preload_torque", with)
		if err != nil {
			rt.Fatal(err)
		}
		if off(preload, back.Value) > 1e-8 {
			rt.Fatalf("%s N comes back as %s", preload, back.Value)
		}
	})
}

func TestFiguresThatCannotBe(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		derive  string
		with    map[string]string
		code    string
		pointer string
	}{
		{"guess", nil, "measure.derive_unknown", "/derive"},
		{"involute", map[string]string{"angle": "20", "Angle": "21"}, "json.key_unknown", ""},
		{"involute", map[string]string{"bearing": "20"}, "measure.parameter_unknown", "/with/bearing"},
		{"involute", map[string]string{"angle": " "}, "measure.parameter_missing", "/with/angle"},
		{"involute", map[string]string{"angle": "twenty"}, "measure.number_missing", "/with/angle"},
		{"involute", map[string]string{"angle": "20 mm"}, "measure.unit_incompatible", "/with/angle"},
		{"involute", map[string]string{"involute": "1e3"}, "measure.number_malformed", "/with/involute"},
		{"gear_span", map[string]string{"teeth": "20", "diametral_pitch": "0"}, "measure.figure_out_of_range", "/with/diametral_pitch"},
		{"chain_length_pitches", map[string]string{"teeth_small": "15", "teeth_large": "42", "centre_distance": "600"}, "measure.parameter_missing", "/with/pitch"},
		{"chain_length_pitches", map[string]string{"teeth_small": "15", "teeth_large": "42", "number": "777", "centres": "40"}, "measure.name_unknown", "/with/number"},
		{"bolt_stress_area", map[string]string{"diameter": "10"}, "measure.figure_out_of_range", "/with/pitch"},
		{"bearing_life", map[string]string{"rating": "10", "load": "1", "speed": "0"}, "measure.figure_out_of_range", "/with"},
		{"fit", map[string]string{"hole": "H7"}, "measure.parameter_missing", "/with/nominal"},
	} {
		_, err := derive(t, tt.derive, tt.with)
		var f *fault.Error
		if !errors.As(err, &f) || f.Code != tt.code || tt.pointer != "" && (len(f.Fields) != 1 || f.Fields[0].Pointer != tt.pointer) {
			t.Errorf("%s %v: got %v", tt.derive, tt.with, err)
		}
	}
	for in, code := range map[string]string{
		`{"derive":"fit","entered":"12 mm"}`:                "measure.derive_unclear",
		`{"entered":"12 mm","with":{"teeth":"20"}}`:         "measure.derive_missing",
		`{"entered":"12 mm","to":"bar"}`:                    "measure.unit_incompatible",
		`{"derive":"involute","with":{"angle":20}}`:         "json.body_unreadable",
		`{"derive":"involute","with":{"angle":"20"},"x":1}`: "json.body_unreadable",
	} {
		_, err := reckon.Run("measure", []byte(in))
		if got := codeOf(err); got != code {
			t.Errorf("%s: got %s, want %s", in, got, code)
		}
	}
}

// FuzzCalculate holds that whatever is given, the answer is a figure or a
// fault that says where.
func FuzzCalculate(f *testing.F) {
	for _, name := range calculated() {
		f.Add(name, "teeth", "20", "module", "2")
	}
	f.Add("fit", "fit", "50 H7/g6", "", "")
	f.Add("preload_torque", "thread", "M8", "torque", "1e999")
	f.Add("bearing_life", "rating", "999999999999999999", "load", "0.000000000001")
	f.Fuzz(func(t *testing.T, name, key, value, second, other string) {
		in, err := json.Marshal(derivedIn{name, map[string]string{key: value, second: other}})
		if err != nil {
			t.Skip()
		}
		answer, err := reckon.Run("measure", in)
		var fl *fault.Error
		switch {
		case err != nil && (!errors.As(err, &fl) || fl.Kind == fault.Internal || fl.Message == ""):
			t.Fatalf("%s: %v", in, err)
		case err == nil && name != "" && len(answer.Working) == 0:
			t.Fatalf("%s: no working", in)
		}
	})
}
