package spread_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/spread"
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
		want := "Steel from the timing chain runs down into the chain tunnel, drops through into the sump, is drawn into the pick-up screen and is drawn into the oil pump."
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

// machine draws a map: rooms, parts in them, passages between anything, some
// through screens and filters.
func machine(t *rapid.T) *layout.Compiled {
	size := rapid.IntRange(2, 12).Draw(t, "parts")
	m := layout.Map{Format: layout.MapFormat, Code: "drawn", Revision: 1, Title: "Drawn", Example: true, Notice: "Drawn for a test.",
		Assemblies: []layout.Assembly{{Key: "all", Name: "all"}}}
	for i := range 3 {
		m.Compartments = append(m.Compartments, layout.Compartment{Key: room(i), Name: string(room(i)), Medium: layout.Oil, Grinds: rapid.Bool().Draw(t, "grinds")})
	}
	nodes := []layout.Key{room(0), room(1), room(2)}
	for i := range size {
		c := layout.Component{Key: part(i), Name: string(part(i)), Assembly: "all", Kind: "part", Safety: layout.Major, Sealed: rapid.Bool().Draw(t, "sealed")}
		if in := rapid.IntRange(-1, 2).Draw(t, "in"); in >= 0 {
			c.In = room(in)
		}
		if rapid.IntRange(0, 3).Draw(t, "barrier") == 0 {
			c.Barrier = &layout.Barrier{Kind: layout.Filter, RatingUM: 100, FullFlow: true, Bypass: true}
		}
		m.Components = append(m.Components, c)
		nodes = append(nodes, c.Key)
	}
	circuit := layout.Circuit{Key: "oil", Name: "oil", Medium: layout.Oil}
	for range rapid.IntRange(1, 20).Draw(t, "passages") {
		if p := passage(t, nodes); p.From != p.To {
			circuit.Passages = append(circuit.Passages, p)
		}
	}
	if len(circuit.Passages) == 0 {
		circuit.Passages = []layout.Passage{{From: room(0), To: room(1), How: layout.Drain}}
	}
	for i, c := range m.Components {
		if c.Barrier != nil { // its bypass leads somewhere
			circuit.Passages = append(circuit.Passages, layout.Passage{From: room(0), To: room(1 + i%2), How: layout.Pressure, Bypasses: c.Key})
		}
	}
	m.Circuits = []layout.Circuit{circuit}
	c, err := layout.Compile(m)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func room(i int) layout.Key { return layout.Key(fmt.Sprintf("room_%d", i)) }
func part(i int) layout.Key { return layout.Key(fmt.Sprintf("part_%d", i)) }

func passage(t *rapid.T, nodes []layout.Key) layout.Passage {
	p := layout.Passage{From: rapid.SampledFrom(nodes).Draw(t, "from"), To: rapid.SampledFrom(nodes).Draw(t, "to"), How: layout.Pressure}
	if rapid.Bool().Draw(t, "narrow") {
		p.OpeningUM = rapid.Int64Range(1, 2000).Draw(t, "opening")
	}
	return p
}

func drawInput(t *rapid.T, m *layout.Compiled) spread.Input {
	var keys []layout.Key
	for _, c := range m.Map().Components {
		keys = append(keys, c.Key)
	}
	var in spread.Input
	for range rapid.IntRange(1, 3).Draw(t, "sheds") {
		in.Shed = append(in.Shed, spread.Shed{From: rapid.SampledFrom(keys).Draw(t, "from"), Material: rapid.SampledFrom(layout.Materials()).Draw(t, "of"),
			Size: rapid.SampledFrom(spread.Sizes()).Draw(t, "size"), WidthUM: rapid.Int64Range(0, 3000).Draw(t, "width")})
	}
	for _, c := range m.Map().Components {
		if c.Barrier != nil && rapid.Bool().Draw(t, "told") {
			in.Barriers = append(in.Barriers, spread.Barrier{At: c.Key, InThroughout: spread.Yes, Bypass: rapid.SampledFrom(spread.Bypasses()).Draw(t, "bypass")})
		}
	}
	return in
}

// rank orders states by how much they say debris may be there.
func rank(s spread.State) int {
	return slices.Index([]spread.State{spread.OutOfReach, spread.HeldBack, spread.Cleared, spread.ExposedFines, spread.ExposedCoarse, spread.Confirmed}, s)
}

func TestAddingAPassageNeverTakesOutOfReach(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		before := states(trace2(t, m, in))
		wider := m.Map()
		wider.Circuits = slices.Clone(wider.Circuits)
		more := passage(t, m.Nodes())
		if more.From == more.To {
			return
		}
		wider.Circuits[0].Passages = append(slices.Clone(wider.Circuits[0].Passages), more)
		after, err := layout.Compile(wider)
		if err != nil {
			t.Fatal(err)
		}
		for key, s := range states(trace2(t, after, in)) {
			if rank(s) < rank(before[key]) {
				t.Fatalf("%s was %s and is %s with one passage more", key, before[key], s)
			}
		}
	})
}

func TestCleanEvidenceNeverPutsOneIn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		before := states(trace2(t, m, in))
		at := rapid.SampledFrom(m.Nodes()).Draw(t, "looked at")
		in.Seen = append(in.Seen, spread.Seen{At: at, Found: spread.FoundClean})
		for key, s := range states(trace2(t, m, in)) {
			if rank(s) > rank(before[key]) && s != spread.Cleared {
				t.Fatalf("%s was %s and is %s with a clean look at %s", key, before[key], s, at)
			}
		}
	})
}

func TestWiderPiecesAndSignsOfBypass(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		before := states(trace2(t, m, in))
		if in.Shed[0].WidthUM > 0 {
			wide := in
			wide.Shed = slices.Clone(in.Shed)
			wide.Shed[0].WidthUM *= 2
			for key, s := range states(trace2(t, m, wide)) {
				if rank(s) > rank(before[key]) {
					t.Fatalf("%s was %s and is %s with a wider piece", key, before[key], s)
				}
			}
		}
		for i := range in.Barriers {
			in.Barriers[i].CrushedPleats = true
		}
		for key, s := range states(trace2(t, m, in)) {
			if rank(s) < rank(before[key]) {
				t.Fatalf("%s was %s and is %s with crushed pleats", key, before[key], s)
			}
		}
	})
}

func trace2(t *rapid.T, m *layout.Compiled, in spread.Input) spread.Result {
	r, err := spread.Trace(m, in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestReference compares with a fixed point over (node, size) by repeated
// scanning of all passages, written from the rules and not from the walker.
func TestReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		got := states(trace2(t, m, in))
		coarse, fines := reference(m, in)
		for _, c := range m.Map().Components {
			want := spread.OutOfReach
			switch {
			case slices.ContainsFunc(in.Shed, func(s spread.Shed) bool { return s.From == c.Key }):
				want = spread.Confirmed
			case coarse[c.Key]:
				want = spread.ExposedCoarse
			case fines[c.Key]:
				want = spread.ExposedFines
			}
			if got[c.Key] != want && (want != spread.OutOfReach || got[c.Key] != spread.HeldBack) {
				t.Fatalf("%s is %s, want %s", c.Key, got[c.Key], want)
			}
		}
	})
}

func reference(m *layout.Compiled, in spread.Input) (coarse, fines map[layout.Key]bool) {
	held := func(key layout.Key) bool {
		for _, b := range in.Barriers {
			if b.At == key && b.Bypass == spread.BypassSound && b.InThroughout == spread.Yes && !b.CrushedPleats && !b.MetalOnCleanSide {
				return true
			}
		}
		return false
	}
	doc := m.Map()
	coarse, fines = map[layout.Key]bool{}, map[layout.Key]bool{}
	for _, s := range in.Shed {
		c, f := map[layout.Key]bool{}, map[layout.Key]bool{}
		if s.Size == spread.Coarse {
			c[s.From] = true
		} else {
			f[s.From] = true
		}
		for changed := true; changed; {
			changed = false
			put := func(set map[layout.Key]bool, key layout.Key) {
				if !set[key] {
					set[key], changed = true, true
				}
			}
			for _, r := range doc.Compartments {
				if c[r.Key] && r.Grinds {
					put(f, r.Key)
				}
			}
			for _, p := range doc.Components {
				for _, set := range []map[layout.Key]bool{c, f} {
					if p.In != "" && set[p.Key] {
						put(set, p.In)
					}
					if p.In != "" && !p.Sealed && set[p.In] {
						put(set, p.Key)
					}
				}
			}
			for _, p := range doc.Circuits[0].Passages {
				if p.Bypasses != "" && held(p.Bypasses) {
					continue
				}
				if f[p.From] {
					put(f, p.To)
				}
				from, _ := m.Component(p.From)
				stopped := from.Barrier != nil && held(p.From) && (s.WidthUM == 0 || s.WidthUM >= from.Barrier.RatingUM)
				narrow := p.OpeningUM > 0 && s.WidthUM > 0 && s.WidthUM >= p.OpeningUM
				if c[p.From] && !stopped && !narrow {
					put(c, p.To)
				}
			}
		}
		for key := range c {
			coarse[key] = true
		}
		for key := range f {
			fines[key] = true
		}
	}
	return coarse, fines
}

func TestOrderOfInputDoesNotMatter(t *testing.T) {
	t.Parallel()
	m, in := shipped(t, "parallel_twin_wet_sump"), rattle()
	before := trace(t, m, in)
	slices.Reverse(in.Shed)
	if diff := cmp.Diff(states(before), states(trace(t, m, in))); diff != "" {
		t.Error(diff)
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
