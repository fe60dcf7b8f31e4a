package spread_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/spread"
	"github.com/google/go-cmp/cmp"
)

func shipped(t testing.TB, code layout.Key) *layout.Compiled {
	t.Helper()
	m, ok, err := layout.ShippedMap(code)
	if err != nil || !ok {
		t.Fatalf("no map %s: %v", code, err)
	}
	c, err := layout.Compile(m)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func trace(t testing.TB, m *layout.Compiled, in spread.Input) spread.Result {
	t.Helper()
	r, err := spread.Trace(m, in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func states(r spread.Result) map[layout.Key]spread.State {
	out := map[layout.Key]spread.State{}
	for _, c := range r.Components {
		out[c.Component] = c.State
	}
	return out
}

// wantStates checks some components; a group stands for its members.
func wantStates(t *testing.T, m *layout.Compiled, r spread.Result, want map[spread.State][]layout.Key) {
	t.Helper()
	got := states(r)
	checked := 0
	for state, names := range want {
		for _, name := range names {
			members := m.Members(name)
			if len(members) == 0 {
				t.Errorf("the map has no %s", name)
			}
			for _, key := range members {
				checked++
				if got[key] != state {
					t.Errorf("%s is %s, want %s", key, got[key], state)
				}
			}
		}
	}
	if checked == 0 {
		t.Error("nothing was checked")
	}
}

// rattle is what the reference job finds: a broken blade with a piece missing,
// a chain that sheds slivers.
func rattle() spread.Input {
	return spread.Input{Shed: []spread.Shed{
		{From: "tensioner_blade", Material: layout.Plastic, Size: spread.Coarse, WidthUM: 9000},
		{From: "tensioner_blade", Material: layout.Rubber, Size: spread.Coarse, WidthUM: 800},
		{From: "timing_chain", Material: layout.Steel, Size: spread.Coarse, WidthUM: 400},
	}}
}

// One wet sump, and the filter's bypass opened (common practice, no source).
func TestWetSumpPastAnOpenBypass(t *testing.T) {
	t.Parallel()
	m, in := shipped(t, "parallel_twin_wet_sump"), rattle()
	in.Barriers = []spread.Barrier{{At: "oil_filter", InThroughout: spread.Yes, MetalOnCleanSide: true, CrushedPleats: true}}
	r := trace(t, m, in)
	wantStates(t, m, r, map[spread.State][]layout.Key{
		spread.Confirmed: {"tensioner_blade", "timing_chain"},
		spread.ExposedCoarse: {"oil_pump", "relief_valve", "oil_cooler_and_lines", "timing_chain_tensioner", "cam_journals", "crank_bearings",
			"balancer_bearings", "gears", "clutch_plates", "pickup_screen", "oil_filter"},
		spread.OutOfReach: {"front_pads", "radiator", "drive_chain"},
	})
	if !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.Contains(w, "metal lay on its clean side") }) {
		t.Errorf("no word on the bypass: %v", r.Warnings)
	}
}

// The same with a sound bypass: coarse debris is held back past the filter,
// fines are not, and the pump stands before it.
func TestWetSumpWithASoundBypass(t *testing.T) {
	t.Parallel()
	m, in := shipped(t, "parallel_twin_wet_sump"), rattle()
	in.Barriers = []spread.Barrier{{At: "oil_filter", InThroughout: spread.Yes, Bypass: spread.BypassSound}}
	r := trace(t, m, in)
	wantStates(t, m, r, map[spread.State][]layout.Key{
		spread.ExposedCoarse: {"oil_pump", "relief_valve", "oil_filter", "gears"},
		spread.ExposedFines:  {"oil_cooler_and_lines", "cam_journals", "crank_bearings", "balancer_bearings"},
	})
	for _, c := range r.Components {
		if c.Component == "main_bearing_left" && !strings.Contains(strings.Join(c.Reasons, " "), "the bypass of the oil filter stayed shut") {
			t.Errorf("why coarse is held back: %v", c.Reasons)
		}
	}
}

// A piece wider than the screen stays there.
func TestCoarsePiecesStayAtTheScreenByWidth(t *testing.T) {
	t.Parallel()
	m := shipped(t, "parallel_twin_wet_sump")
	in := spread.Input{Shed: []spread.Shed{{From: "tensioner_blade", Material: layout.Plastic, Size: spread.Coarse, WidthUM: 9000}},
		Barriers: []spread.Barrier{{At: "oil_filter", InThroughout: spread.Yes, Bypass: spread.BypassSound}}}
	r := trace(t, m, in)
	wantStates(t, m, r, map[spread.State][]layout.Key{spread.ExposedCoarse: {"pickup_screen"}, spread.ExposedFines: {"oil_pump", "crank_bearings"}})
	in.Shed[0].WidthUM = 999
	wantStates(t, m, trace(t, m, in), map[spread.State][]layout.Key{spread.ExposedCoarse: {"oil_pump"}})
	in.Shed[0].WidthUM = 0
	wantStates(t, m, trace(t, m, in), map[spread.State][]layout.Key{spread.ExposedCoarse: {"oil_pump"}})
}

func TestOnlyLookingClears(t *testing.T) {
	t.Parallel()
	m, in := shipped(t, "parallel_twin_wet_sump"), rattle()
	in.Seen = []spread.Seen{{At: "oil_filter", Found: spread.FoundClean}, {At: "cam_journals", Found: spread.FoundClean}}
	in.LooksDone = []spread.LookDone{{Look: "gallery_swab", Found: spread.FoundClean}}
	r := trace(t, m, in)
	wantStates(t, m, r, map[spread.State][]layout.Key{spread.Cleared: {"oil_filter", "cam_journals", "main_gallery"}, spread.ExposedCoarse: {"crank_bearings"}})
	for _, c := range r.Components {
		if c.Component == "main_bearing_left" && c.Doubt != "50" {
			t.Errorf("a clean swab leaves %s %% of the doubt, want 50", c.Doubt)
		}
		if c.State == spread.ExposedCoarse && (c.Doubt == "0" || c.Sentence == "" || c.ClearedBy == "" || len(c.Path) == 0) {
			t.Errorf("%+v", c)
		}
	}
	for _, n := range r.Next {
		if n.Look == "gallery_swab" {
			t.Error("a look that was taken is asked for again")
		}
	}
}

func TestPathsAreSentences(t *testing.T) {
	t.Parallel()
	m := shipped(t, "parallel_twin_wet_sump")
	in := spread.Input{Shed: []spread.Shed{{From: "timing_chain", Material: layout.Steel, Size: spread.Coarse, WidthUM: 400}}}
	for _, c := range trace(t, m, in).Components {
		if c.Component != "oil_pump" {
			continue
		}
		want := "Steel from the timing chain runs down into the chain tunnel, gets through an opening into the sump and is drawn through the pick-up screen into the oil pump."
		if c.Sentence != want {
			t.Errorf("got  %s\nwant %s", c.Sentence, want)
		}
		if diff := cmp.Diff([]layout.Key{"timing_chain", "chain_tunnel", "sump", "pickup_screen", "oil_pump"}, c.Path); diff != "" {
			t.Error(diff)
		}
	}
}

func TestNextLooksAreOrderedByDoubtForMinutes(t *testing.T) {
	t.Parallel()
	m, in := shipped(t, "parallel_twin_wet_sump"), rattle()
	r := trace(t, m, in)
	if len(r.Next) < 5 {
		t.Fatalf("only %d looks", len(r.Next))
	}
	in.StepsDone = []layout.Key{"drain_oil", "filter_off", "secure_machine", "exhaust_off", "sump_pan"}
	opened := trace(t, m, in)
	for _, n := range opened.Next {
		if n.Look == "pickup_look" && (n.Minutes != 5 || len(n.Steps) != 0) {
			t.Errorf("the sump is open; looking at the pick-up takes %d minutes and %v", n.Minutes, n.Steps)
		}
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	m := shipped(t, "parallel_twin_wet_sump")
	shed := func(s spread.Shed) spread.Input { return spread.Input{Shed: []spread.Shed{s}} }
	for code, in := range map[string]spread.Input{
		"spread.node_unknown":     shed(spread.Shed{From: "nowhere", Material: layout.Steel, Size: spread.Coarse}),
		"spread.material_unknown": shed(spread.Shed{From: "timing_chain", Material: "cheese", Size: spread.Coarse}),
		"spread.size_unknown":     shed(spread.Shed{From: "timing_chain", Material: layout.Steel, Size: "big"}),
		"spread.width_wrong":      shed(spread.Shed{From: "timing_chain", Material: layout.Steel, Size: spread.Coarse, WidthUM: -1}),
		"spread.found_unknown":    {Seen: []spread.Seen{{At: "sump", Found: "fish"}}},
		"spread.barrier_unknown":  {Barriers: []spread.Barrier{{At: "oil_pump"}}},
		"spread.word_unknown":     {Barriers: []spread.Barrier{{At: "oil_filter", Bypass: "ajar"}}},
		"spread.step_unknown":     {StepsDone: []layout.Key{"jump"}},
		"spread.look_unknown":     {LooksDone: []spread.LookDone{{Look: "stare", Found: spread.FoundClean}}},
		"spread.too_much":         {Seen: make([]spread.Seen, 201)},
	} {
		_, err := spread.Trace(m, in)
		f, ok := err.(*fault.Error)
		if !ok || f.Code != code || f.Message == "" {
			t.Errorf("got %v, want %s", err, code)
		}
	}
}

func FuzzTrace(f *testing.F) {
	m := shipped(f, "parallel_twin_wet_sump")
	for _, in := range []spread.Input{{}, rattle(), {Seen: []spread.Seen{{At: "sump", Found: spread.FoundCoarse}}}} {
		text, err := json.Marshal(in)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var in spread.Input
		if json.Unmarshal(text, &in) != nil {
			return
		}
		r, err := spread.Trace(m, in)
		if err != nil {
			return
		}
		total := int64(0)
		for _, n := range r.Totals {
			total += n.Count
		}
		if total != int64(len(m.Map().Components)) {
			t.Fatalf("%d of %d components have a state", total, len(m.Map().Components))
		}
	})
}

func BenchmarkTrace(b *testing.B) {
	draw := rand.New(rand.NewPCG(1, 2))
	m := layout.Map{Format: layout.MapFormat, Code: "large", Revision: 1, Title: "Large", Example: true, Notice: "Drawn for a benchmark.",
		Assemblies: []layout.Assembly{{Key: "all", Name: "all"}}}
	for i := range 20 {
		m.Compartments = append(m.Compartments, layout.Compartment{Key: room(i), Name: string(room(i)), Medium: layout.Oil, Grinds: i%3 == 0})
	}
	circuit := layout.Circuit{Key: "oil", Name: "oil", Medium: layout.Oil}
	for i := range 300 {
		m.Components = append(m.Components, layout.Component{Key: part(i), Name: string(part(i)), Assembly: "all", Kind: "part", Safety: layout.Major, In: room(i % 20)})
		if to := draw.IntN(300); to != i {
			circuit.Passages = append(circuit.Passages, layout.Passage{From: part(i), To: part(to), How: layout.Pressure, OpeningUM: draw.Int64N(3000)})
		}
	}
	m.Circuits = []layout.Circuit{circuit}
	c, err := layout.Compile(m)
	if err != nil {
		b.Fatal(err)
	}
	in := spread.Input{Shed: []spread.Shed{{From: part(0), Material: layout.Steel, Size: spread.Coarse, WidthUM: 700}, {From: part(9), Material: layout.Bronze, Size: spread.Fines}}}
	for b.Loop() {
		if _, err := spread.Trace(c, in); err != nil {
			b.Fatal(err)
		}
	}
}
