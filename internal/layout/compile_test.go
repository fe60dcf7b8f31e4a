package layout_test

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

func TestCompileRefusesFaults(t *testing.T) {
	t.Parallel()
	m := example(t)
	m.Revision, m.Notice = 0, ""
	_, err := layout.Compile(m)
	var f *fault.Error
	if !errors.As(err, &f) || f.Kind != fault.Meaning || f.Code != "layout.revision_missing" || len(f.Fields) != 2 {
		t.Fatalf("got %v", err)
	}
	if f.Fields[1].Pointer != "/notice" {
		t.Errorf("got %v", f.Fields)
	}
}

func TestFind(t *testing.T) {
	t.Parallel()
	c := compiled(t)
	type row struct {
		What string
		Got  any
	}
	p, _ := c.Component("oil_pump")
	room, _ := c.Compartment("sump")
	s, _ := c.Step("sump_pan")
	g, _ := c.Group("fed_by_pressure")
	l, _ := c.Look("plug_out")
	f, _ := c.Fastening("pump_bolts")
	pt, _ := c.Point("chain_length")
	for _, tt := range []struct {
		what      string
		got, want any
	}{
		{"component", p.Name, "oil pump"},
		{"compartment", room.Name, "sump"},
		{"step", s.Minutes, int64(25)},
		{"group", g.Members, keys{"main_bearings", "timing_chain"}},
		{"look", l.Minutes, int64(5)},
		{"fastening", f.HoldBefore, layout.Key("timing_cover")},
		{"point", pt.Derive, "chain_elongation"},
		{"nodes", c.Nodes(), keys{"chain_tunnel", "sump", "timing_chain", "pickup_screen", "oil_pump", "oil_filter", "main_bearings", "drain_plug"}},
		{"is node", []bool{c.IsNode("sump"), c.IsNode("oil_pump"), c.IsNode("sump_pan"), c.IsNode("fed_by_pressure")}, []bool{true, true, false, false}},
		{"names", []string{c.Name("sump"), c.Name("oil_filter"), c.Name("fed_by_pressure"), c.Name("x")}, []string{"sump", "oil filter", "what oil pressure feeds", "x"}},
		{"in", c.In("sump"), keys{"main_bearings", "drain_plug"}},
		{"circuits", c.Circuits("oil_pump"), keys{"engine_oil"}},
		{"groups", c.Groups("timing_chain"), keys{"fed_by_pressure"}},
		{"members of a group", c.Members("fed_by_pressure"), keys{"main_bearings", "timing_chain"}},
		{"members of a component", c.Members("oil_pump"), keys{"oil_pump"}},
		{"members of a compartment", c.Members("sump"), keys(nil)},
		{"step order", []int{c.StepOrder("drain_oil"), c.StepOrder("timing_cover"), c.StepOrder("x")}, []int{0, 2, -1}},
		{"kind", c.OfKind("oil_pump"), keys{"oil_pump"}},
		{"map", c.Map().Code, layout.Key("example_engine")},
		{"points", len(c.Points("timing_chain")), 1},
		{"fastenings", c.Fastenings("oil_pump")[0].Key, layout.Key("pump_bolts")},
		{"tightened", c.Tightened("sump_pan")[0].Key, layout.Key("sump_pan_bolts")},
		{"held before", c.HeldBefore("timing_cover")[0].Key, layout.Key("pump_bolts")},
		{"not there", len(c.Points("x")) + len(c.Fastenings("x")) + len(c.Tightened("x")) + len(c.HeldBefore("x")) + len(c.Out("x")), 0},
	} {
		if diff := cmp.Diff(row{tt.what, tt.want}, row{tt.what, tt.got}); diff != "" {
			t.Error(diff)
		}
	}
}

func TestNotFound(t *testing.T) {
	t.Parallel()
	c := compiled(t)
	_, a := c.Component("sump")
	_, b := c.Compartment("oil_pump")
	_, d := c.Step("x")
	_, e := c.Group("x")
	_, f := c.Look("x")
	_, g := c.Fastening("x")
	_, h := c.Point("x")
	if a || b || d || e || f || g || h {
		t.Error("found what is not there")
	}
}

func TestOut(t *testing.T) {
	t.Parallel()
	type way struct {
		To      layout.Key
		How     layout.PassageKind
		Implied bool
	}
	c := compiled(t)
	for node, want := range map[layout.Key][]way{
		"chain_tunnel":  {{"sump", layout.Opening, false}, {"timing_chain", layout.Splash, true}},
		"sump":          {{"pickup_screen", layout.Suction, false}, {"main_bearings", layout.Splash, true}, {"drain_plug", layout.Splash, true}},
		"oil_pump":      {{"oil_filter", layout.Pressure, false}, {"main_bearings", layout.Pressure, false}},
		"main_bearings": {{"sump", layout.Drain, true}},
	} {
		var got []way
		for _, w := range c.Out(node) {
			if w.From != node || w.Medium != layout.Oil {
				t.Errorf("%s: %+v", node, w)
			}
			got = append(got, way{w.To, w.How, w.Implied()})
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", node, diff)
		}
	}
}

func TestSealedTakesNoSplash(t *testing.T) {
	t.Parallel()
	m := example(t)
	m.Components[4].Sealed = true
	c, err := layout.Compile(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range c.Out("sump") {
		if w.To == "main_bearings" {
			t.Error("splash gets into a sealed part")
		}
	}
	if len(c.Out("main_bearings")) != 1 {
		t.Error("a sealed part that breaks sheds all the same")
	}
}

func TestCount(t *testing.T) {
	t.Parallel()
	want := layout.Counts{
		Assemblies: 1, Compartments: 2, Components: 6, Groups: 1, Circuits: 1, Passages: 6, Steps: 3,
		Fastenings: 2, Points: 1, Looks: 1, Limits: 1, Torques: 2,
	}
	if diff := cmp.Diff(want, layout.Count(example(t), figures(t))); diff != "" {
		t.Error(diff)
	}
}

func TestRounds(t *testing.T) {
	t.Parallel()
	rounds, rest := layout.Rounds(example(t).Steps)
	if diff := cmp.Diff([]keys{{"drain_oil"}, {"sump_pan", "timing_cover"}}, rounds); diff != "" || rest != nil {
		t.Error(diff, rest)
	}
}
