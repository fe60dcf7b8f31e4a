package layout_test

import (
	"slices"
	"testing"

	"benchtag/internal/layout"
)

// reachable gives every node to which a way leads from a place, past whatever
// screens and filters there are, with the named seals leaking. It is written
// from the definition of the ways, as plainly as can be.
func reachable(m *layout.Compiled, from layout.Key, leaking ...layout.Key) map[layout.Key]bool {
	reached := map[layout.Key]bool{from: true}
	for grown := true; grown; {
		grown = false
		for _, node := range m.Nodes() {
			for _, way := range m.Out(node) {
				shut := way.ShutBy != "" && !slices.Contains(leaking, way.ShutBy)
				if reached[node] && !shut && !reached[way.To] {
					reached[way.To] = true
					grown = true
				}
			}
		}
	}
	return reached
}

// TestTwinsKeepTheirOilsApart holds what the trade knows of the two example
// twins: debris goes all over the oil it fell into and nowhere else, until a
// seal between two rooms leaks. Common practice, no source.
func TestTwinsKeepTheirOilsApart(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name    string
		code    layout.Key
		from    layout.Key
		leaking []layout.Key
		reaches []layout.Key // components or groups
		spares  []layout.Key
	}{
		{"primary chain", "v_twin_shared_case", "primary_chain", nil,
			[]layout.Key{"gearbox_shaft_bearings", "alternator", "gears", "clutch_plates", "starter_clutch", "shift_forks", "gear_plug"},
			[]layout.Key{"crank_bearings", "crankshaft", "cam_journals", "pistons", "followers", "oil_pumps", "oil_filter", "tank_plug", "drive_chain"}},
		{"gears", "v_twin_shared_case", "gears_low", nil,
			[]layout.Key{"primary_drive", "alternator", "mainshaft_bearings"},
			[]layout.Key{"crank_bearings", "oil_pumps"}},
		{"crank", "v_twin_shared_case", "big_end", nil,
			[]layout.Key{"cam_journals", "followers", "oil_pumps", "oil_cooler_and_lines", "rockers_1", "rockers_2", "timing_drive", "bores"},
			[]layout.Key{"gearbox_shaft_bearings", "primary_drive", "alternator", "gear_plug"}},
		{"chain past a crank seal", "v_twin_shared_case", "primary_chain", []layout.Key{"crank_seal_left"},
			[]layout.Key{"crank_bearings", "oil_pumps", "cam_journals", "gearbox_shaft_bearings"}, []layout.Key{"drive_chain"}},
		{"gears past the output seal", "v_twin_shared_case", "gears_low", []layout.Key{"output_seal"},
			[]layout.Key{"drive_chain", "output_sprocket"}, []layout.Key{"crank_bearings"}},
		{"belt", "v_twin_dry_belt", "primary_belt", nil,
			[]layout.Key{"alternator", "clutch_plates", "front_pulley", "starter_drive"},
			[]layout.Key{"gearbox_shaft_bearings", "gears", "crank_bearings", "oil_pump", "clutch_bearing", "belt_idler", "drive_belt"}},
		{"gears", "v_twin_dry_belt", "gears_low", nil,
			[]layout.Key{"gearbox_shaft_bearings", "shift_forks", "gear_plug"},
			[]layout.Key{"primary_drive", "clutch_plates", "crank_bearings", "sump_plug", "drive_belt"}},
		{"crank", "v_twin_dry_belt", "big_end_1", nil,
			[]layout.Key{"crank_bearings", "balancer_bearings", "cam_journals", "followers", "rockers_1", "rockers_2", "oil_cooler_and_lines", "sump_plug"},
			[]layout.Key{"gearbox_shaft_bearings", "gears", "primary_drive", "alternator"}},
		{"gears past the mainshaft seal", "v_twin_dry_belt", "gears_low", []layout.Key{"mainshaft_seal"},
			[]layout.Key{"primary_belt", "clutch_plates", "alternator"}, []layout.Key{"crank_bearings"}},
		{"belt dust past the crank seal", "v_twin_dry_belt", "primary_belt", []layout.Key{"crank_seal_left"},
			[]layout.Key{"crank_bearings", "oil_pump"}, []layout.Key{"gearbox_shaft_bearings"}},
	} {
		t.Run(string(tt.code)+"/"+tt.name, func(t *testing.T) {
			t.Parallel()
			doc, ok, err := layout.ShippedMap(tt.code)
			if err != nil || !ok {
				t.Fatalf("not shipped: %v", err)
			}
			m, err := layout.Compile(doc)
			if err != nil {
				t.Fatal(err)
			}
			got := reachable(m, tt.from, tt.leaking...)
			for _, want := range []struct {
				keys    []layout.Key
				reached bool
			}{{tt.reaches, true}, {tt.spares, false}} {
				for _, key := range want.keys {
					members := m.Members(key)
					if len(members) == 0 {
						t.Errorf("the map has no %s", key)
					}
					for _, part := range members {
						if got[part] != want.reached {
							t.Errorf("%s reached: %t", part, got[part])
						}
					}
				}
			}
		})
	}
}

// TestTwinsHaveAWayToSeeWhatSheds holds that of each part that oil or belt
// dust can come to, some look or some way of opening up tells.
func TestTwinsHaveAWayToSeeWhatSheds(t *testing.T) {
	t.Parallel()
	for _, code := range []layout.Key{"v_twin_shared_case", "v_twin_dry_belt"} {
		doc, _, err := layout.ShippedMap(code)
		if err != nil {
			t.Fatal(err)
		}
		told := map[layout.Key]bool{}
		for _, l := range doc.Looks {
			for _, key := range l.At {
				told[key] = true
			}
			for _, s := range l.Speaks {
				told[s.Component] = true
			}
		}
		kinds := []layout.Key{"main_bearing", "big_end", "gearbox_bearing", "gear_pair", "cam_journal", "cam_follower", "oil_pump",
			"oil_filter", "pickup_screen", "oil_cooler", "primary_chain", "primary_belt", "alternator_rotor", "alternator_stator", "piston"}
		found := 0
		for _, p := range doc.Components {
			if slices.Contains(kinds, p.Kind) {
				found++
				if !told[p.Key] {
					t.Errorf("%s: no look tells anything of %s", code, p.Key)
				}
			}
		}
		if found < 15 {
			t.Errorf("%s: only %d such parts", code, found)
		}
	}
}
