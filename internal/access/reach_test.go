package access_test

import (
	"errors"

	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"benchtag/internal/access"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

func TestReach(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		needs [][]layout.Key
		req   access.Request
		want  access.Reached
		code  string
	}{
		"nothing":          {nil, access.Request{}, access.Reached{Steps: keys(), Proven: true}, ""},
		"one step":         {[][]layout.Key{keys("cover_off")}, access.Request{}, access.Reached{keys("oil_out", "cover_off"), 25, 30, true}, ""},
		"the cheaper one":  {[][]layout.Key{keys("head_off", "cover_off")}, access.Request{}, access.Reached{keys("oil_out", "cover_off"), 25, 30, true}, ""},
		"two needs":        {[][]layout.Key{keys("head_off", "cover_off"), keys("head_off")}, access.Request{}, access.Reached{keys("tank_off", "rack_off", "head_off"), 75, 105, true}, ""},
		"done before":      {[][]layout.Key{keys("cover_off")}, access.Request{Done: keys("oil_out")}, access.Reached{keys("cover_off"), 20, 25, true}, ""},
		"not possible":     {[][]layout.Key{keys("cover_off")}, access.Request{NotPossible: keys("oil_out")}, access.Reached{}, "access.needs_unreachable"},
		"an unknown step":  {nil, access.Request{Done: keys("moon")}, access.Reached{}, "access.step_unknown"},
		"done and neither": {nil, access.Request{Done: keys("oil_out"), NotPossible: keys("oil_out")}, access.Reached{}, "access.step_both"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, err := access.Reach(twin(t), c.needs, c.req)
			var f *fault.Error
			if c.code != "" {
				if !errors.As(err, &f) || f.Code != c.code {
					t.Errorf("got %v, want %s", err, c.code)
				}
				return
			}
			if diff := cmp.Diff(c.want, got, cmpopts.EquateEmpty()); err != nil || diff != "" {
				t.Errorf("%v (-want +got):\n%s", err, diff)
			}
		})
	}
}

// To meet a need is to reach a component behind any of its alternatives.
func TestReachIsPlan(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		doc := drawMapOf(t, rapid.Bool().Draw(t, "rings")).Map()
		needs := rapid.SliceOfN(drawSteps(len(doc.Steps), 1, 3), 1, 4).Draw(t, "needs")
		var parts []layout.Component
		for i, alternatives := range needs {
			var ways [][]layout.Key
			for _, k := range alternatives {
				ways = append(ways, keys(k))
			}
			parts = append(parts, part(layout.Key("need_"+string(rune('a'+i))), ways...))
		}
		m := machine(t, doc.Steps, parts)
		req := drawRequest(t, m)
		req.Targets = nil
		got, err := access.Reach(m, needs, req)
		for _, p := range parts {
			req.Targets = append(req.Targets, renew(p.Key)...)
		}
		want, errPlan := access.Plan(m, req)
		if (err == nil) != (errPlan == nil) {
			t.Fatalf("%v and %v", err, errPlan)
		}
		if err == nil && got.Open+got.Back != minutes(want) {
			t.Fatalf("%d min by %v, planned %d by %v", got.Open+got.Back, got.Steps, minutes(want), opened(want))
		}
	})
}
