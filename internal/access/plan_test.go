package access_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/access"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// twin is a small engine: two ways to the timing chain, one to the rest.
func twin(t fataler) *layout.Compiled {
	cover, basket := step("cover_off", 20, 25, keys("oil_out")), step("basket_out", 15, 20, keys("cover_off"))
	cover.Destroys = []layout.NewPart{{Name: "Cover gasket", Quantity: 1}, {Name: "Sealing washer", Quantity: 2}}
	basket.Tools = []string{"Clutch holder"}
	basket.BackAfter = keys("cover_off")
	drain := step("oil_out", 5, 5)
	drain.Caution = "Hot oil burns: let the engine cool."
	drain.Destroys = []layout.NewPart{{Name: "Sealing washer", Quantity: 1}}
	head := step("head_off", 60, 90, keys("tank_off"), keys("rack_off", "frame_open"))
	return machine(t, []layout.Step{drain, step("tank_off", 10, 10), step("rack_off", 5, 5), step("frame_open", 40, 40), head, cover, basket},
		[]layout.Component{
			part("chain", keys("head_off"), keys("basket_out")),
			part("clutch", keys("basket_out")),
			part("valves", keys("head_off")),
			part("chain_outside"),
		})
}

func TestPlan(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		req  access.Request
		want []layout.Key
		took int64
	}{
		"one way":                                         {access.Request{Targets: renew("clutch")}, keys("oil_out", "cover_off", "basket_out"), 90},
		"the cheaper of two ways":                         {access.Request{Targets: renew("chain")}, keys("oil_out", "cover_off", "basket_out"), 90},
		"the way another target takes":                    {access.Request{Targets: renew("chain", "valves")}, keys("tank_off", "rack_off", "head_off"), 180},
		"both ways are open":                              {access.Request{Targets: renew("chain", "valves", "clutch")}, keys("oil_out", "tank_off", "rack_off", "head_off", "cover_off", "basket_out"), 270},
		"what is done costs nothing":                      {access.Request{Targets: renew("clutch"), Done: keys("cover_off")}, keys("basket_out"), 35},
		"done makes another way cheaper":                  {access.Request{Targets: renew("chain"), Done: keys("tank_off", "rack_off", "head_off")}, nil, 0},
		"the dearer way, for the cheaper is not possible": {access.Request{Targets: renew("chain"), NotPossible: keys("basket_out")}, keys("tank_off", "rack_off", "head_off"), 180},
		"an alternative need":                             {access.Request{Targets: renew("valves"), NotPossible: keys("rack_off")}, keys("tank_off", "frame_open", "head_off"), 250},
		"in plain sight":                                  {access.Request{Targets: renew("chain_outside")}, nil, 0},
		"named twice":                                     {access.Request{Targets: renew("clutch", "clutch")}, keys("oil_out", "cover_off", "basket_out"), 90},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := plan(t, twin(t), c.req)
			if diff := cmp.Diff(c.want, opened(r)); diff != "" {
				t.Errorf("steps (-want +got):\n%s", diff)
			}
			if minutes(r) != c.took || !r.Proven {
				t.Errorf("%d min, proven %v; want %d, proven", minutes(r), r.Proven, c.took)
			}
		})
	}
}

// Steps that need each other in a circle are no way in, however cheap: one of
// them must be reached from outside the circle.
func TestCirclesAreBroken(t *testing.T) {
	t.Parallel()
	x, y := step("x", 1, 0, keys("y", "b")), step("y", 1, 0, keys("x", "c"))
	for name, c := range map[string]struct {
		b, c int64
		want []layout.Key
		took int64
	}{
		"by b":            {10, 20, keys("b", "x"), 11},
		"by c and y":      {30, 20, keys("c", "y", "x"), 22},
		"of equal length": {21, 20, keys("b", "x"), 22}, // fewer steps
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := machine(t, []layout.Step{x, y, step("b", c.b, 0), step("c", c.c, 0)}, []layout.Component{part("deep", keys("x"))})
			r := plan(t, m, access.Request{Targets: renew("deep")})
			if diff := cmp.Diff(c.want, opened(r)); diff != "" || minutes(r) != c.took || !r.Proven {
				t.Errorf("%d min (-want +got):\n%s", minutes(r), diff)
			}
		})
	}
}

func TestResultSaysWhatItTakes(t *testing.T) {
	t.Parallel()
	r := plan(t, twin(t), access.Request{Targets: []access.Target{{Component: "clutch", Do: access.Look}, {Component: "chain", Do: access.Renew}}})
	if diff := cmp.Diff([]layout.NewPart{{Name: "Sealing washer", Quantity: 3}, {Name: "Cover gasket", Quantity: 1}}, r.Destroyed); diff != "" {
		t.Errorf("destroyed:\n%s", diff)
	}
	if diff := cmp.Diff([]string{"Clutch holder"}, r.Tools); diff != "" {
		t.Errorf("tools:\n%s", diff)
	}
	if r.Opening[0].Caution == "" {
		t.Error("the caution is not at its step")
	}
	want := access.Minutes{Open: 40, Parts: 5, Back: 50, Total: 95}
	if diff := cmp.Diff(want, r.Minutes); diff != "" {
		t.Errorf("minutes:\n%s", diff)
	}
	lines := []access.Line{
		{Words: "Opening up and closing, once", Minutes: 90},
		{Words: "Renew: The chain", Target: "chain", Do: access.Renew, Minutes: 5},
		{Words: "Look at: The clutch", Target: "clutch", Do: access.Look},
	}
	if diff := cmp.Diff(lines, r.Lines); diff != "" {
		t.Errorf("lines:\n%s", diff)
	}
	if r.Targets[0].Opening != 45_000 || r.Targets[1].Opening != 45_000 || r.Targets[0].Alone != 90 {
		t.Errorf("shares %v", r.Targets)
	}
	if len(r.Warnings) == 0 {
		t.Error("an example map passes without a warning")
	}
}

func TestWaysAreCompared(t *testing.T) {
	t.Parallel()
	r := plan(t, twin(t), access.Request{Targets: renew("chain", "valves"), NotPossible: keys("basket_out")})
	want := []access.Way{
		{Steps: keys("head_off"), Possible: true, Alone: 180, Taken: true},
		{Steps: keys("basket_out")},
	}
	if diff := cmp.Diff(want, r.Targets[0].Ways); diff != "" {
		t.Error(diff)
	}
	r = plan(t, twin(t), access.Request{Targets: renew("chain"), Done: keys("head_off")})
	want = []access.Way{
		{Steps: keys("head_off"), Possible: true, Taken: true},
		{Steps: keys("basket_out"), Possible: true, Alone: 90},
	}
	if diff := cmp.Diff(want, r.Targets[0].Ways); diff != "" {
		t.Error(diff)
	}
}

func TestGroupStandsForItsMembers(t *testing.T) {
	t.Parallel()
	grouped := twin(t).Map()
	grouped.Groups = []layout.Group{{Key: "both", Name: "Both", Members: keys("clutch", "valves")}}
	m, err := layout.Compile(grouped)
	if err != nil {
		t.Fatal(err)
	}
	whole, apart := plan(t, m, access.Request{Targets: renew("both")}), plan(t, m, access.Request{Targets: renew("valves", "clutch")})
	if diff := cmp.Diff(apart, whole); diff != "" {
		t.Error(diff)
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	for code, req := range map[string]access.Request{
		"access.targets_missing":    {},
		"access.component_unknown":  {Targets: renew("flux")},
		"access.do_unknown":         {Targets: []access.Target{{Component: "chain", Do: "paint"}}},
		"access.step_unknown":       {Targets: renew("chain"), Done: keys("flux")},
		"access.step_both":          {Targets: renew("chain"), Done: keys("oil_out"), NotPossible: keys("oil_out")},
		"access.sheet_foreign":      {Targets: renew("chain"), Sheet: &layout.Sheet{Map: "other"}},
		"access.target_unreachable": {Targets: renew("valves"), NotPossible: keys("rack_off", "frame_open")},
	} {
		t.Run(code, func(t *testing.T) {
			t.Parallel()
			_, err := access.Plan(twin(t), req)
			var f *fault.Error
			if !errors.As(err, &f) || f.Code != code || f.Kind != fault.Meaning {
				t.Errorf("got %v", err)
			}
		})
	}
}

func TestDosAreComplete(t *testing.T) {
	t.Parallel()
	if diff := cmp.Diff([]access.Do{access.Look, access.Renew}, access.Dos()); diff != "" {
		t.Error(diff)
	}
}
