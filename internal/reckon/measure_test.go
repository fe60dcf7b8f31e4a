package reckon_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchtag/internal/layout"
	"benchtag/internal/measure"
	"benchtag/internal/reckon"
	"benchtag/internal/testkit"
)

// TestDerivationsOfMapsAreFormulas holds that what a machine map may name for
// a measured point is there, and that the fixed figures of the shipped maps
// are known to it.
func TestDerivationsOfMapsAreFormulas(t *testing.T) {
	t.Parallel()
	for _, name := range layout.Derivations() {
		if !slices.Contains(measure.Formulas(), name) {
			t.Errorf("maps may name %s, which is no formula", name)
		}
	}
	points := 0
	maps, _, err := layout.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range maps {
		for _, p := range m.Points {
			points++
			roles, figures := measure.Takes(p.Derive)
			for name := range p.With {
				if !slices.Contains(figures, name) && !slices.Contains(roles, name) {
					t.Errorf("%s: %s does not know %s", p.Key, p.Derive, name)
				}
			}
		}
	}
	if points == 0 {
		t.Error("no measured points")
	}
}

// TestReadingsAreDescribed holds that each formula of readings has a row, and
// that its roles and figures stand in it.
func TestReadingsAreDescribed(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../testdata/README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range measure.Formulas() {
		row := ""
		for line := range strings.Lines(string(readme)) {
			cell, _, _ := strings.Cut(strings.TrimPrefix(line, "| "), "|")
			if strings.Contains(cell, "`"+name+"`") && strings.Count(line, "|") == 5 {
				row = line
			}
		}
		if row == "" {
			t.Errorf("testdata/README.md does not describe %s", name)
			continue
		}
		_, figures := measure.Takes(name)
		for _, figure := range figures {
			if !strings.Contains(row, "`"+figure+"`") {
				t.Errorf("the row of %s leaves out %s", name, figure)
			}
		}
	}
}

// TestEveryFormulaOfReadingsHasAVector that is answered.
func TestEveryFormulaOfReadingsHasAVector(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, c := range measureVectors(t) {
		var in struct {
			Derive   string
			Readings []json.RawMessage
		}
		if err := json.Unmarshal(c.Data.In, &in); err != nil {
			t.Fatal(err)
		}
		_, err := reckon.Run("measure", c.Data.In)
		seen[in.Derive] = seen[in.Derive] || err == nil
	}
	for _, name := range measure.Formulas() {
		if !seen[name] {
			t.Errorf("%s has no vector", name)
		}
	}
}

// TestWorkingAddsUp redoes every budget of the vectors with what the answer
// shows: half over divisor times sensitivity, squared and summed, is u.
func TestWorkingAddsUp(t *testing.T) {
	t.Parallel()
	budgets := 0
	for _, c := range measureVectors(t) {
		answer, err := reckon.Run("measure", c.Data.In)
		if err != nil {
			continue
		}
		text, err := json.Marshal(answer.Value)
		if err != nil {
			t.Fatal(err)
		}
		var v struct {
			Uncertainty *struct {
				Standard, Expanded struct{ Value, Unit string }
				Coverage           string
				Budget             []struct{ Half, Divisor, Sensitivity, Contribution string }
			}
			Unit string
		}
		if err := json.Unmarshal(text, &v); err != nil {
			t.Fatal(err)
		}
		if v.Uncertainty == nil {
			continue
		}
		budgets++
		u := v.Uncertainty
		square := 0.0
		for _, l := range u.Budget {
			part := parse(t, l.Half) / parse(t, l.Divisor) * parse(t, l.Sensitivity)
			square += part * part
		}
		standard := parse(t, u.Standard.Value)
		if off := square / (standard * standard); off < 1-1e-6 || off > 1+1e-6 {
			t.Errorf("%s: the lines come to u² = %g, and u is %s", c.Desc, square, u.Standard.Value)
		}
		expanded := parse(t, u.Coverage) * standard
		if got := parse(t, u.Expanded.Value); got < expanded*(1-1e-6) || got > expanded*1.11 && len(c.Data.WantErr) == 0 && !raised(answer.Working) {
			t.Errorf("%s: U %g of k u = %g", c.Desc, got, expanded)
		}
		if u.Expanded.Unit != v.Unit {
			t.Errorf("%s: U in %s of a value in %s", c.Desc, u.Expanded.Unit, v.Unit)
		}
	}
	if budgets == 0 {
		t.Error("no budgets")
	}
}

// raised reports whether U was kept at what repeats alone come to.
func raised(working []string) bool {
	return strings.Contains(strings.Join(working, "\n"), "so U stays at that")
}

func parse(t testing.TB, text string) float64 {
	t.Helper()
	f, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func measureVectors(t *testing.T) []testkit.Case[vector] {
	t.Helper()
	return testkit.Vectors[vector](t, filepath.Join("../../testdata/vectors", "measure"))
}
