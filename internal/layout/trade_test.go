package layout_test

import (
	"slices"
	"strings"
	"testing"

	"benchtag/internal/layout"
)

// everyShipped runs a check on each shipped map; none at all is a failure.
func everyShipped(t *testing.T, check func(*testing.T, layout.Map)) {
	t.Helper()
	maps, _, err := layout.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	if len(maps) == 0 {
		t.Fatal("no map is shipped")
	}
	for _, m := range maps {
		t.Run(string(m.Code), func(t *testing.T) { check(t, m) })
	}
}

// cautions says which words must stand before a step that takes off a part of
// a kind: one of each list. Common practice, no source.
var cautions = []struct {
	kind  layout.Key
	words [][]string
}{
	{"alternator_rotor", [][]string{{"magnet"}, {"pacemaker"}}},
	{"drain_plug", [][]string{{"hot oil", "hot"}, {"burn", "scald"}}},
	{"clutch_springs", [][]string{{"spring"}, {"glasses", "eye"}}},
	{"fuel_pump", [][]string{{"petrol", "fuel"}, {"fire", "flame", "spark"}}},
	{"carburettor", [][]string{{"petrol", "fuel"}, {"fire", "flame", "spark"}}},
	{"wheel", [][]string{{"secure", "strap", "stand", "lift"}}},
	{"shock", [][]string{{"drop", "hold", "support"}}},
	{"exhaust_system", [][]string{{"burn", "hot"}}},
}

func TestWhatHurtsIsSaidBefore(t *testing.T) {
	t.Parallel()
	everyShipped(t, func(t *testing.T, m layout.Map) {
		kinds := map[layout.Key]layout.Key{}
		for _, p := range m.Components {
			kinds[p.Key] = p.Kind
		}
		found := 0
		for _, s := range m.Steps {
			for _, part := range s.TakesOff {
				for _, c := range cautions {
					if c.kind == kinds[part] {
						found++
						cautioned(t, s, c.words)
					}
				}
			}
		}
		for _, s := range m.Steps {
			for _, p := range m.Components {
				if p.Kind == "alternator_rotor" && slices.Contains(slices.Concat(slices.Concat(p.Look...), slices.Concat(p.Renew...)), s.Key) {
					found++
					cautioned(t, s, cautions[0].words) // the cover off is near enough
				}
			}
		}
		if found < 5 {
			t.Errorf("only %d dangerous steps found", found)
		}
	})
}

func cautioned(t *testing.T, s layout.Step, words [][]string) {
	t.Helper()
	caution := strings.ToLower(s.Caution)
	for _, one := range words {
		if !slices.ContainsFunc(one, func(w string) bool { return strings.Contains(caution, w) }) {
			t.Errorf("%s: the caution says none of %v: %q", s.Key, one, s.Caution)
		}
	}
}

// TestWhatHoldsTheRiderIsCritical holds that brakes, wheels and steering are
// of the highest class, in parts and joints, on every map.
func TestWhatHoldsTheRiderIsCritical(t *testing.T) {
	t.Parallel()
	kinds := []layout.Key{"wheel", "wheel_bearing", "axle", "tyre", "brake_disc", "brake_pads", "brake_caliper", "brake_hose",
		"master_cylinder", "steering_bearing", "fork", "swingarm_bearing"}
	jointed := []layout.Key{"axle", "brake_caliper", "steering_bearing", "fork", "swingarm_bearing"}
	everyShipped(t, func(t *testing.T, m layout.Map) {
		c, err := layout.Compile(m)
		if err != nil {
			t.Fatal(err)
		}
		for _, kind := range kinds {
			parts := c.OfKind(kind)
			if len(parts) == 0 {
				t.Errorf("no %s", kind)
			}
			for _, key := range parts {
				if p, _ := c.Component(key); p.Safety != layout.Critical {
					t.Errorf("%s is %s", key, p.Safety)
				}
				for _, f := range c.Fastenings(key) {
					if f.Safety != layout.Critical {
						t.Errorf("%s is %s", f.Key, f.Safety)
					}
				}
			}
			if slices.Contains(jointed, kind) && !slices.ContainsFunc(parts, func(k layout.Key) bool { return len(c.Fastenings(k)) > 0 }) {
				t.Errorf("no joint of any %s", kind)
			}
		}
	})
}

// TestWhatIsUsedOnceIsNamed holds that joints with bolts used once and steps
// that break gaskets say so: each map has some of each.
func TestWhatIsUsedOnceIsNamed(t *testing.T) {
	t.Parallel()
	everyShipped(t, func(t *testing.T, m layout.Map) {
		var destroyed []string
		for _, s := range m.Steps {
			for _, p := range s.Destroys {
				destroyed = append(destroyed, p.Name)
			}
		}
		all := strings.Join(destroyed, "; ")
		for _, word := range []string{"gasket", "washer", "circlip", "seal"} {
			if !strings.Contains(all, word) {
				t.Errorf("no step destroys a %s: %s", word, all)
			}
		}
		if !slices.ContainsFunc(m.Fastenings, func(f layout.Fastening) bool { return f.NewBolt }) {
			t.Error("no joint takes a new bolt")
		}
	})
}

// TestBarriersAreOnTheWay holds that debris comes to every screen and filter
// of a circuit and leaves it, and that a bypass leads to where its barrier
// leads.
func TestBarriersAreOnTheWay(t *testing.T) {
	t.Parallel()
	everyShipped(t, func(t *testing.T, m layout.Map) {
		into, out := map[layout.Key]bool{}, map[layout.Key][]layout.Key{}
		var passages []layout.Passage
		for _, c := range m.Circuits {
			passages = append(passages, c.Passages...)
		}
		for _, p := range passages {
			into[p.To] = true
			if p.Bypasses == "" {
				out[p.From] = append(out[p.From], p.To)
			}
		}
		for _, p := range passages {
			if p.Bypasses != "" && !slices.Contains(out[p.Bypasses], p.To) {
				t.Errorf("the bypass of %s leads to %s, where it does not lead itself", p.Bypasses, p.To)
			}
		}
		for _, p := range m.Components {
			if p.Barrier != nil && p.Barrier.Kind != layout.Magnet && len(out[p.Key]) == 0 {
				t.Errorf("nothing leaves %s", p.Key)
			}
			if p.Kind == "oil_filter" && !into[p.Key] {
				t.Errorf("nothing comes to %s", p.Key)
			}
		}
	})
}
