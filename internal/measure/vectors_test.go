package measure_test

import (
	"encoding/json"
	"errors"
	"math/big"
	"os"
	"path/filepath"
	"testing"

	"benchtag/internal/measure"
)

type vector struct {
	Desc   string
	Source string
	In     struct{ Entered, Value, Unit, To string }
	Want   struct{ Value struct{ Value, Unit string } }
	TolRel string `json:"tol_rel"`
	// WantErr is the code of the fault.
	WantErr measure.Code
}

func vectors(t *testing.T, name string) []vector {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "vectors", "measure", name))
	if err != nil {
		t.Fatal(err)
	}
	var all []vector
	err = json.Unmarshal(raw, &all)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) == 0 {
		t.Fatal("no vectors found")
	}
	return all
}

func run(t *testing.T, file string, do func(v vector) (measure.Quantity, error)) {
	t.Helper()
	for _, v := range vectors(t, file) {
		t.Run(v.Desc, func(t *testing.T) {
			t.Parallel()
			if v.Source == "" {
				t.Error("no source")
			}
			got, err := do(v)
			if v.WantErr != "" {
				wantCode(t, err, v.WantErr)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if string(got.Unit) != v.Want.Value.Unit || !agrees(t, got.Value.String(), v) {
				t.Errorf("got %s %s, want %s %s", got.Value, got.Unit, v.Want.Value.Value, v.Want.Value.Unit)
			}
		})
	}
}

// agrees compares text when there is no tolerance, else relative difference.
func agrees(t *testing.T, got string, v vector) bool {
	t.Helper()
	if v.TolRel == "" || v.TolRel == "0" {
		return got == v.Want.Value.Value
	}
	want, tol := rat(t, v.Want.Value.Value), rat(t, v.TolRel)
	diff := new(big.Rat).Sub(rat(t, got), want)
	return diff.Abs(diff).Cmp(tol.Mul(tol, want.Abs(want))) <= 0
}

func rat(t testing.TB, text string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		t.Fatalf("%q is no number", text)
	}
	return r
}

func wantCode(t *testing.T, err error, code measure.Code) {
	t.Helper()
	var e *measure.Error
	if !errors.As(err, &e) || e.Code != code || e.Message == "" {
		t.Errorf("got %v, want %s", err, code)
	}
}

func TestParseVectors(t *testing.T) {
	t.Parallel()
	run(t, "parse.json", func(v vector) (measure.Quantity, error) { return measure.Parse(v.In.Entered) })
}

func TestStrictVectors(t *testing.T) {
	t.Parallel()
	run(t, "strict.json", func(v vector) (measure.Quantity, error) { return measure.ParseValue(v.In.Value, v.In.Unit) })
}

func TestConvertVectors(t *testing.T) {
	t.Parallel()
	run(t, "convert.json", func(v vector) (measure.Quantity, error) {
		q, err := measure.ParseValue(v.In.Value, v.In.Unit)
		if err != nil {
			return measure.Quantity{}, err
		}
		return measure.Convert(q, measure.Unit(v.In.To))
	})
}

func TestEveryCodeHasAVector(t *testing.T) {
	t.Parallel()
	seen := map[measure.Code]bool{measure.EntryContradicts: true} // see TestRead
	for _, name := range []string{"parse.json", "strict.json", "convert.json", "gear.json", "bolt.json", "fit.json", "bearing.json", "readings.json", "asked.json", "derive_gap.json", "derive_form.json"} {
		for _, v := range vectors(t, name) {
			seen[v.WantErr] = true
		}
	}
	for _, code := range measure.Codes() {
		if !seen[code] {
			t.Errorf("no vector for %s", code)
		}
	}
}
