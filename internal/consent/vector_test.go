package consent_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/consent"
)

// vector is one case of testdata/vectors/consent: the numeric tests of each
// jurisdiction and the table of maxima.
type vector struct {
	Desc   string     `json:"desc"`
	Source string     `json:"source"`
	In     vectorIn   `json:"in"`
	Want   vectorWant `json:"want"`
}

type vectorIn struct {
	Call   string               `json:"call"`
	Rule   string               `json:"rule"`
	Change *consent.Change      `json:"change,omitempty"`
	Ask    *consent.EstimateAsk `json:"ask,omitempty"`
}

type vectorWant struct {
	Own            consent.Verdict `json:"own,omitempty"`
	Effective      consent.Verdict `json:"effective,omitempty"`
	Guide          consent.Guide   `json:"guide,omitempty"`
	CeilingExclTax *consent.Minor  `json:"ceiling_excl_tax,omitempty"`
	CeilingInclTax *consent.Minor  `json:"ceiling_incl_tax,omitempty"`
	Needed         *bool           `json:"needed,omitempty"`
}

// vectors reads every vector file; none found is a failure.
func vectors(t testing.TB) map[string][]vector {
	t.Helper()
	names, err := filepath.Glob("../../testdata/vectors/consent/*.json")
	if err != nil || len(names) == 0 {
		t.Fatalf("no vector files found (%v)", err)
	}
	all := map[string][]vector{}
	for _, name := range names {
		raw, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		d := json.NewDecoder(bytes.NewReader(raw))
		d.DisallowUnknownFields()
		var vs []vector
		if err := d.Decode(&vs); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if len(vs) == 0 {
			t.Fatalf("%s holds no cases", name)
		}
		all[filepath.Base(name)] = vs
	}
	return all
}

func TestVectors(t *testing.T) {
	t.Parallel()
	seen := map[string]int{}
	for file, vs := range vectors(t) {
		for _, v := range vs {
			seen[v.In.Rule]++
			if diff := cmp.Diff(v.Want, answer(t, v)); diff != "" {
				t.Errorf("%s: %s (%s): -want +got\n%s", file, v.Desc, v.Source, diff)
			}
		}
	}
	for _, r := range jurisdictions(t) {
		if seen[r.ID] == 0 {
			t.Errorf("%s has no vector", r.ID)
		}
	}
}

// answer runs a vector and keeps what its want speaks of.
func answer(t *testing.T, v vector) vectorWant {
	t.Helper()
	rule, err := consent.Find(v.In.Rule)
	if err != nil {
		t.Fatal(err)
	}
	switch v.In.Call {
	case "estimate_needed":
		needed, why := consent.EstimateNeeded(rule, *v.In.Ask)
		if why == "" {
			t.Errorf("%s: no reason", v.Desc)
		}
		return vectorWant{Needed: &needed}
	case "decide":
		a, err := consent.Decide(rule, *v.In.Change)
		if err != nil {
			t.Fatal(err)
		}
		got := vectorWant{Own: a.Own, Effective: a.Effective, Guide: a.Guide}
		if v.Want.CeilingExclTax != nil {
			got.CeilingExclTax = a.Ceiling.ExclTax
		}
		if v.Want.CeilingInclTax != nil {
			got.CeilingInclTax = a.Ceiling.InclTax
		}
		return got
	}
	t.Fatalf("unknown call %q", v.In.Call)
	return vectorWant{}
}

// jurisdictions are all rules but the strict default.
func jurisdictions(t testing.TB) []consent.Rule {
	t.Helper()
	all, err := consent.Rules()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 35 || all[0].ID != consent.StrictID {
		t.Fatalf("want STRICT and 34 jurisdictions, got %d", len(all))
	}
	return all[1:]
}
