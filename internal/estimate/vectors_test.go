package estimate_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"benchtag/internal/estimate"
)

// input is the JSON input of the engine where it totals.
type input struct {
	Lines []estimate.Line `json:"lines"`
	Rules estimate.Rules  `json:"rules"`
}

// vector is one case of a file; want holds only the members of the result
// that the case is about.
type vector struct {
	Desc    string          `json:"desc"`
	Source  string          `json:"source"`
	In      json.RawMessage `json:"in"`
	Want    map[string]any  `json:"want"`
	WantErr string          `json:"wantErr"`
}

func loadVectors(t testing.TB) []vector {
	t.Helper()
	names, err := filepath.Glob(filepath.Join("..", "..", "testdata", "vectors", "estimate", "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all []vector
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var some []vector
		err = json.Unmarshal(data, &some)
		if err != nil || len(some) == 0 {
			t.Fatalf("%s: %d cases, %v", name, len(some), err)
		}
		all = append(all, some...)
	}
	if len(all) == 0 {
		t.Fatal("no vectors found")
	}
	return all
}

func TestVectors(t *testing.T) {
	t.Parallel()
	for _, v := range loadVectors(t) {
		t.Run(v.Desc, func(t *testing.T) {
			t.Parallel()
			if v.Desc == "" || v.Source == "" || (v.Want == nil) == (v.WantErr == "") {
				t.Fatal("a case needs desc, source, and one of want and wantErr")
			}
			var which struct {
				Call string `json:"call"`
			}
			if err := json.Unmarshal(v.In, &which); err != nil {
				t.Fatal(err)
			}
			if which.Call != "" {
				return // package reckon runs it
			}
			var in input
			decoder := json.NewDecoder(bytes.NewReader(v.In))
			decoder.DisallowUnknownFields()
			err := decoder.Decode(&in)
			if err != nil {
				t.Fatal(err)
			}
			result, err := estimate.Total(in.Lines, in.Rules)
			if got := codeOf(err); got != v.WantErr {
				t.Fatalf("error %q, want %q", got, v.WantErr)
			}
			if v.WantErr == "" {
				holds(t, "result", v.Want["value"], plain(t, result))
			}
		})
	}
}

// plain is a value as its JSON reads.
func plain(t *testing.T, value any) any {
	t.Helper()
	data, err := json.Marshal(value)
	if err != nil {
		t.Fatal(err)
	}
	var out any
	err = json.Unmarshal(data, &out)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// holds checks that got has every member that want has, with the same value;
// lists must have the same length.
func holds(t *testing.T, path string, want, got any) {
	t.Helper()
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok || len(w) == 0 {
			t.Errorf("%s: %v, want %v", path, got, want)
			return
		}
		for key, value := range w {
			holds(t, path+"."+key, value, g[key])
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			t.Errorf("%s: %v, want %v", path, got, want)
			return
		}
		for i := range w {
			holds(t, path+"[]", w[i], g[i])
		}
	default:
		if !reflect.DeepEqual(want, got) {
			t.Errorf("%s: %v, want %v", path, got, want)
		}
	}
}
