package spread_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/layout"
	"benchtag/internal/spread"
)

func room(i int) layout.Key { return layout.Key(fmt.Sprintf("room_%d", i)) }
func part(i int) layout.Key { return layout.Key(fmt.Sprintf("part_%d", i)) }
func look(i int) layout.Key { return layout.Key(fmt.Sprintf("look_%d", i)) }

// machine draws a map: rooms, parts in them, passages between anything, some
// narrow, some kept shut, some past filters, and looks.
func machine(t *rapid.T) *layout.Compiled {
	m := layout.Map{Format: layout.MapFormat, Code: "drawn", Revision: 1, Title: "Drawn", Example: true, Notice: "Drawn for a test.",
		Assemblies: []layout.Assembly{{Key: "all", Name: "all"}}}
	nodes := []layout.Key{}
	for i := range 3 {
		m.Compartments = append(m.Compartments, layout.Compartment{Key: room(i), Name: string(room(i)), Medium: layout.Oil, Grinds: rapid.Bool().Draw(t, "grinds")})
		nodes = append(nodes, room(i))
	}
	for i := range rapid.IntRange(2, 12).Draw(t, "parts") {
		m.Components = append(m.Components, component(t, part(i)))
		nodes = append(nodes, part(i))
	}
	circuit := layout.Circuit{Key: "oil", Name: "oil", Medium: layout.Oil, Passages: []layout.Passage{{From: room(0), To: room(1), How: layout.Drain}}}
	for range rapid.IntRange(1, 20).Draw(t, "passages") {
		if p := passage(t, nodes); p.From != p.To {
			circuit.Passages = append(circuit.Passages, p)
		}
	}
	for i, c := range m.Components {
		if c.Barrier != nil && c.Barrier.Bypass { // its bypass leads somewhere
			circuit.Passages = append(circuit.Passages, layout.Passage{From: room(0), To: room(1 + i%2), How: layout.Pressure, Bypasses: c.Key})
		}
	}
	m.Circuits = []layout.Circuit{circuit}
	m.Looks = looks(t, nodes, m.Components)
	c, err := layout.Compile(m)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func component(t *rapid.T, key layout.Key) layout.Component {
	c := layout.Component{Key: key, Name: string(key), Assembly: "all", Kind: "part", Safety: layout.Major, Sealed: rapid.Bool().Draw(t, "sealed")}
	if in := rapid.IntRange(-1, 2).Draw(t, "in"); in >= 0 {
		c.In = room(in)
	}
	switch rapid.IntRange(0, 6).Draw(t, "barrier") {
	case 0:
		c.Barrier = &layout.Barrier{Kind: layout.Filter, RatingUM: 100, FullFlow: rapid.IntRange(0, 3).Draw(t, "flow") > 0, Bypass: rapid.IntRange(0, 3).Draw(t, "valve") > 0}
	case 1:
		c.Barrier = &layout.Barrier{Kind: layout.Screen, RatingUM: 1000}
	case 2:
		c.Barrier = &layout.Barrier{Kind: layout.Magnet}
	}
	return c
}

func passage(t *rapid.T, nodes []layout.Key) layout.Passage {
	p := layout.Passage{From: rapid.SampledFrom(nodes).Draw(t, "from"), To: rapid.SampledFrom(nodes).Draw(t, "to"), How: rapid.SampledFrom(layout.PassageKinds()).Draw(t, "how")}
	if rapid.Bool().Draw(t, "narrow") {
		p.OpeningUM = rapid.SampledFrom([]int64{1, 400, 999, 1000, 2000}).Draw(t, "opening")
	}
	if rapid.IntRange(0, 4).Draw(t, "shut") == 0 {
		p.ShutBy = part(rapid.IntRange(0, 1).Draw(t, "by"))
	}
	return p
}

func looks(t *rapid.T, nodes []layout.Key, parts []layout.Component) []layout.Look {
	var out []layout.Look
	for i := range rapid.IntRange(0, 3).Draw(t, "looks") {
		l := layout.Look{Key: look(i), Name: string(look(i)), Minutes: rapid.Int64Range(1, 90).Draw(t, "minutes"), At: []layout.Key{rapid.SampledFrom(nodes).Draw(t, "sees")}}
		for _, c := range parts {
			if rapid.IntRange(0, 2).Draw(t, "speaks") == 0 {
				l.Speaks = append(l.Speaks, layout.Speaks{Component: c.Key, Percent: rapid.Int64Range(1, 99).Draw(t, "percent")})
			}
		}
		out = append(out, l)
	}
	return out
}

func drawInput(t *rapid.T, m *layout.Compiled) spread.Input {
	var keys []layout.Key
	for _, c := range m.Map().Components {
		keys = append(keys, c.Key)
	}
	var in spread.Input
	for range rapid.IntRange(1, 3).Draw(t, "sheds") {
		in.Shed = append(in.Shed, shed(t, keys))
	}
	for range rapid.IntRange(0, 2).Draw(t, "seen") {
		in.Seen = append(in.Seen, spread.Seen{At: rapid.SampledFrom(m.Nodes()).Draw(t, "at"), Found: rapid.SampledFrom(spread.Founds()).Draw(t, "found"),
			WidthUM: width(t), Sampler: rapid.Bool().Draw(t, "sampler")})
	}
	for _, c := range m.Map().Components {
		if c.Barrier != nil && rapid.Bool().Draw(t, "told") {
			in.Barriers = append(in.Barriers, spread.Barrier{At: c.Key, InThroughout: rapid.SampledFrom(append(spread.YesNos(), spread.Yes, spread.Yes)).Draw(t, "throughout"),
				Bypass: rapid.SampledFrom(append(spread.Bypasses(), "", spread.BypassSound)).Draw(t, "bypass"), MetalOnCleanSide: rapid.IntRange(0, 5).Draw(t, "metal") == 0})
		}
	}
	for _, key := range keys[:2] {
		if rapid.IntRange(0, 2).Draw(t, "leaks") == 0 {
			in.Leaking = append(in.Leaking, key)
		}
	}
	for _, l := range m.Map().Looks {
		if rapid.Bool().Draw(t, "taken") {
			in.LooksDone = append(in.LooksDone, spread.LookDone{Look: l.Key, Found: rapid.SampledFrom([]spread.Found{spread.FoundClean, spread.FoundClean, spread.FoundFines}).Draw(t, "look found")})
		}
	}
	return in
}

func width(t *rapid.T) int64 {
	return rapid.SampledFrom([]int64{0, 50, 100, 399, 400, 999, 1000, 3000}).Draw(t, "width")
}

func shed(t *rapid.T, keys []layout.Key) spread.Shed {
	return spread.Shed{From: rapid.SampledFrom(keys).Draw(t, "from"), Material: rapid.SampledFrom(layout.Materials()).Draw(t, "of"),
		Size: rapid.SampledFrom(spread.Sizes()).Draw(t, "size"), WidthUM: width(t)}
}

// rank orders states by how much they say debris may be there.
func rank(s spread.State) int {
	return slices.Index([]spread.State{spread.OutOfReach, spread.HeldBack, spread.Cleared, spread.ExposedFines, spread.ExposedCoarse, spread.Confirmed}, s)
}

func follow(t *rapid.T, m *layout.Compiled, in spread.Input) map[layout.Key]spread.State {
	r, err := spread.Trace(m, in)
	if err != nil {
		t.Fatal(err)
	}
	return states(r)
}

// noLess fails where a state says less than it did.
func noLess(t *rapid.T, before, after map[layout.Key]spread.State, by string) {
	t.Helper()
	if len(before) == 0 || len(before) != len(after) {
		t.Fatalf("%d and %d states", len(before), len(after))
	}
	for key, s := range after {
		if rank(s) < rank(before[key]) {
			t.Fatalf("%s was %s and is %s with %s", key, before[key], s, by)
		}
	}
}

func TestAddingAPassageNeverTakesOutOfReach(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		wider := m.Map()
		wider.Circuits = slices.Clone(wider.Circuits)
		more := passage(t, m.Nodes())
		if more.From == more.To {
			return
		}
		wider.Circuits[0].Passages = append(slices.Clone(wider.Circuits[0].Passages), more)
		with, err := layout.Compile(wider)
		if err != nil {
			t.Fatal(err)
		}
		noLess(t, follow(t, m, in), follow(t, with, in), "one passage more")
	})
}

func TestCleanEvidenceNeverPutsOneIn(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		before := follow(t, m, in)
		at := rapid.SampledFrom(m.Nodes()).Draw(t, "looked at")
		in.Seen = append(slices.Clone(in.Seen), spread.Seen{At: at, Found: spread.FoundClean})
		for key, s := range follow(t, m, in) {
			if s != before[key] && (key != at || s != spread.Cleared) {
				t.Fatalf("%s was %s and is %s with a clean look at %s", key, before[key], s, at)
			}
		}
	})
}

// More of what lets debris through or sheds it never makes the result smaller.
func TestWhatOnlyWidens(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		before := follow(t, m, in)
		var keys []layout.Key
		for _, c := range m.Map().Components {
			keys = append(keys, c.Key)
		}
		more := in
		what := rapid.SampledFrom([]string{"crushed pleats", "metal on the clean side", "an opened bypass", "an element that was out", "no word on the filter", "a leak", "another source", "a narrower piece"}).Draw(t, "what")
		more.Barriers = slices.Clone(in.Barriers)
		for i := range more.Barriers {
			switch what {
			case "crushed pleats":
				more.Barriers[i].CrushedPleats = true
			case "metal on the clean side":
				more.Barriers[i].MetalOnCleanSide = true
			case "an opened bypass":
				more.Barriers[i].Bypass = spread.BypassOpened
			case "an element that was out":
				more.Barriers[i].InThroughout = spread.No
			}
		}
		switch what {
		case "no word on the filter":
			more.Barriers = nil
		case "a leak":
			more.Leaking = append(slices.Clone(in.Leaking), keys[0], keys[1])
		case "another source":
			more.Shed = append(slices.Clone(in.Shed), shed(t, keys))
		case "a narrower piece":
			more.Shed = slices.Clone(in.Shed)
			more.Shed[0].WidthUM /= 2
		}
		noLess(t, before, follow(t, m, more), what)
	})
}

func TestOrderOfInputDoesNotMatter(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		before := follow(t, m, in)
		for _, reverse := range []func(){func() { slices.Reverse(in.Shed) }, func() { slices.Reverse(in.Seen) }, func() { slices.Reverse(in.Barriers) },
			func() { slices.Reverse(in.Leaking) }, func() { slices.Reverse(in.LooksDone) }} {
			reverse()
			if diff := cmp.Diff(before, follow(t, m, in)); diff != "" {
				t.Fatal(diff)
			}
		}
	})
}

// TestPathsAreWays: a path begins at a source, goes along ways of the map, and
// no shorter one leads there in that size.
func TestPathsAreWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := machine(t)
		in := drawInput(t, m)
		r, err := spread.Trace(m, in)
		if err != nil {
			t.Fatal(err)
		}
		ref := newReference(m, in)
		for _, c := range r.Components {
			if len(c.Path) == 0 {
				continue
			}
			if !ref.isSource(c.Path[0]) || c.Path[len(c.Path)-1] != c.Component {
				t.Fatalf("the path to %s is %v", c.Component, c.Path)
			}
			for i, node := range c.Path[1:] {
				if !slices.ContainsFunc(m.Out(c.Path[i]), func(w layout.Way) bool { return w.To == node }) {
					t.Fatalf("no way leads from %s to %s", c.Path[i], node)
				}
			}
			if (len(c.Path) > 1) != (c.Sentence != "") {
				t.Fatalf("path %v, sentence %q", c.Path, c.Sentence)
			}
			if steps := ref.distance(c.Component); c.State == spread.ExposedCoarse && len(c.Path)-1 != steps {
				t.Fatalf("the path to %s has %d steps, the shortest %d", c.Component, len(c.Path)-1, steps)
			}
		}
	})
}
