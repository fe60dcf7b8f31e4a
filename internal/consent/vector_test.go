package consent_test

import (
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/consent"
	"benchtag/internal/testkit"
)

// vector is one case of testdata/vectors/consent: the numeric tests of each
// jurisdiction, the table of maxima and the lists. Package reckon runs all of
// them; here the ones that ask this package alone are asked directly.
type vector struct {
	In      json.RawMessage `json:"in"`
	Want    vectorWant      `json:"want"`
	WantErr string          `json:"wantErr"`
}

type vectorIn struct {
	Call    string               `json:"call"`
	Rule    string               `json:"rule"`
	Own     *consent.Params      `json:"own"`
	Change  *consent.Change      `json:"change"`
	Jobs    []consent.Change     `json:"jobs"`
	Ask     *consent.EstimateAsk `json:"ask"`
	DropOff *consent.DropOff     `json:"drop_off"`

	Motorcycle bool             `json:"motorcycle"`
	Customer   consent.Customer `json:"customer"`
}

type vectorWant struct {
	Verdict string          `json:"verdict"`
	Value   json.RawMessage `json:"value"`
}

// wantValue is what is compared here besides the verdict.
type wantValue struct {
	Own     consent.Verdict `json:"own"`
	Guide   consent.Guide   `json:"guide"`
	Ceiling consent.Ceiling `json:"ceiling"`
}

func TestVectors(t *testing.T) {
	t.Parallel()
	seen := map[string]int{}
	for _, v := range vectors(t) {
		var in vectorIn
		if err := json.Unmarshal(v.Data.In, &in); err != nil {
			t.Fatal(err)
		}
		seen[in.Rule]++
		if v.Data.WantErr != "" || in.Own != nil {
			continue
		}
		if got := answer(t, in); got != "" && got != v.Data.Want.Verdict {
			t.Errorf("%s: %s (%s): %s, want %s", v.Name, v.Desc, v.Source, got, v.Data.Want.Verdict)
		}
		if in.Change != nil && len(in.Jobs) == 0 {
			holdsAnswer(t, v, in)
		}
	}
	for _, r := range jurisdictions(t) {
		if seen[r.ID] == 0 {
			t.Errorf("%s has no vector", r.ID)
		}
	}
}

func vectors(t testing.TB) []testkit.Case[vector] {
	return testkit.Vectors[vector](t, "../../testdata/vectors/consent")
}

// answer asks the question of a vector; "" for a question of another kind.
func answer(t *testing.T, in vectorIn) string {
	t.Helper()
	rule := find(t, in.Rule)
	pick := func(yes bool, words [2]string) string {
		if yes {
			return words[0]
		}
		return words[1]
	}
	switch {
	case in.Ask != nil:
		needed, _ := consent.EstimateNeeded(rule, *in.Ask)
		return pick(needed, [2]string{"needed", "not_needed"})
	case in.DropOff != nil:
		reaching, _ := consent.Reaching(rule, in.Motorcycle, in.Customer)
		counts, _ := consent.LimitAtDropOff(reaching, *in.DropOff)
		return pick(counts, [2]string{"counts", "does_not_count"})
	case len(in.Jobs) > 0:
		order := consent.OrderOf(in.Jobs)
		if in.Change != nil {
			order = *in.Change
		}
		a, err := consent.DecideAll(rule, order, in.Jobs)
		if err != nil {
			t.Fatal(err)
		}
		return string(a.Effective)
	case in.Change != nil:
		return string(mustDecide(t, rule, *in.Change).Effective)
	}
	return ""
}

// holdsAnswer compares what the vector says besides the verdict.
func holdsAnswer(t *testing.T, v testkit.Case[vector], in vectorIn) {
	t.Helper()
	got := mustDecide(t, find(t, in.Rule), *in.Change)
	var want wantValue
	if v.Data.Want.Value != nil {
		if err := json.Unmarshal(v.Data.Want.Value, &want); err != nil {
			t.Fatal(err)
		}
	}
	if want.Own != "" && want.Own != got.Own || want.Guide != "" && want.Guide != got.Guide {
		t.Errorf("%s: %s: own %s guide %s, want %s %s", v.Name, v.Desc, got.Own, got.Guide, want.Own, want.Guide)
	}
	if want.Ceiling.ExclTax != nil {
		if diff := cmp.Diff(want.Ceiling.ExclTax, got.Ceiling.ExclTax); diff != "" {
			t.Errorf("%s: %s: ceiling -want +got\n%s", v.Name, v.Desc, diff)
		}
	}
	if want.Ceiling.InclTax != nil {
		if diff := cmp.Diff(want.Ceiling.InclTax, got.Ceiling.InclTax); diff != "" {
			t.Errorf("%s: %s: ceiling with tax -want +got\n%s", v.Name, v.Desc, diff)
		}
	}
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
