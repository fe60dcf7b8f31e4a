package reckon_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/big"
	"path/filepath"
	"testing"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/reckon"
	"benchtag/internal/testkit"
)

// vector is one published or reckoned case of an engine.
type vector struct {
	In json.RawMessage `json:"in"`
	// Want holds the parts of the answer that matter: {"value":…,"verdict":…}.
	Want json.RawMessage `json:"want"`
	// Tol is how far a number, or a text that is one, may be off, and TolRel
	// how far in parts of itself; both are decimal text.
	Tol    string `json:"tol"`
	TolRel string `json:"tol_rel"`
	// WantErr is the code of the fault.
	WantErr string `json:"wantErr"`
}

// TestVectors runs every case of testdata/vectors through Run, the way a
// shell or a client would.
func TestVectors(t *testing.T) {
	t.Parallel()
	engines := reckon.Engines()
	if len(engines) == 0 {
		t.Fatal("no engines")
	}
	for _, e := range engines {
		cases := testkit.Vectors[vector](t, filepath.Join("../../testdata/vectors", e.Name))
		for _, c := range cases {
			t.Run(e.Name+"/"+c.Name, func(t *testing.T) {
				t.Parallel()
				answer, err := reckon.Run(e.Name, c.Data.In)
				if c.Data.WantErr != "" {
					if codeOf(err) != c.Data.WantErr {
						t.Errorf("%s: got %v, want %s", c.Desc, err, c.Data.WantErr)
					}
					return
				}
				if err != nil {
					t.Fatalf("%s: %v", c.Desc, err)
				}
				got, want := plain(t, answer), decode(t, c.Data.Want)
				if members, ok := want.(map[string]any); !ok || len(members) == 0 {
					t.Fatalf("%s: wants nothing", c.Desc)
				}
				for _, off := range compare("", got, want, tolerance(t, c.Data)) {
					t.Errorf("%s (%s): %s", c.Desc, c.Source, off)
				}
			})
		}
	}
}

func codeOf(err error) string {
	var f *fault.Error
	var m *measure.Error
	switch {
	case errors.As(err, &f):
		return f.Code
	case errors.As(err, &m):
		return string(m.Code)
	}
	return fmt.Sprint(err)
}

func plain(t *testing.T, v any) any {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return decode(t, text)
}

func decode(t *testing.T, text []byte) any {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return v
}

// allowance is how far two numbers may be apart.
type allowance struct{ abs, rel *big.Rat }

func tolerance(t *testing.T, v vector) allowance {
	t.Helper()
	read := func(text string) *big.Rat {
		if text == "" {
			return new(big.Rat)
		}
		r, ok := new(big.Rat).SetString(text)
		if !ok || r.Sign() < 0 {
			t.Fatalf("tolerance %q", text)
		}
		return r
	}
	return allowance{read(v.Tol), read(v.TolRel)}
}

// compare lists where got lacks or differs from what want names. An object
// may name some members only; a list is named whole.
func compare(at string, got, want any, tol allowance) []string {
	switch want := want.(type) {
	case map[string]any:
		members, ok := got.(map[string]any)
		if !ok {
			return []string{fmt.Sprintf("%s: got %v, want an object", at, got)}
		}
		var off []string
		for key, w := range want {
			g, there := members[key]
			if !there {
				off = append(off, fmt.Sprintf("%s/%s is not in the answer", at, key))
				continue
			}
			off = append(off, compare(at+"/"+key, g, w, tol)...)
		}
		return off
	case []any:
		items, ok := got.([]any)
		if !ok || len(items) != len(want) {
			return []string{fmt.Sprintf("%s: got %v, want %v", at, got, want)}
		}
		var off []string
		for i := range want {
			off = append(off, compare(fmt.Sprintf("%s/%d", at, i), items[i], want[i], tol)...)
		}
		return off
	}
	if !same(got, want, tol) {
		return []string{fmt.Sprintf("%s: got %v, want %v", at, got, want)}
	}
	return nil
}

func same(got, want any, tol allowance) bool {
	if got == want {
		return true
	}
	g, isNumber := new(big.Rat).SetString(fmt.Sprint(got))
	w, alsoNumber := new(big.Rat).SetString(fmt.Sprint(want))
	if !isNumber || !alsoNumber || got == nil || want == nil {
		return false
	}
	off := new(big.Rat).Sub(g, w)
	allowed := new(big.Rat).Mul(tol.rel, new(big.Rat).Abs(w))
	return off.Abs(off).Cmp(allowed.Add(allowed, tol.abs)) <= 0
}
