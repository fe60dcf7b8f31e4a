package spread_test

import (
	"strings"
	"testing"

	"benchtag/internal/layout"
	"benchtag/internal/spread"
)

// Facts of the trade, on the shipped maps: common practice, no source.

// Gearbox and primary drive share one case and one oil; the crank has its own.
func TestSharedCaseTwin(t *testing.T) {
	t.Parallel()
	m := shipped(t, "v_twin_shared_case")
	r := trace(t, m, spread.Input{Shed: []spread.Shed{{From: "primary_chain", Material: layout.Steel, Size: spread.Coarse, WidthUM: 500}, {From: "primary_chain", Material: layout.Steel, Size: spread.Fines}}})
	got := states(r)
	reached := 0
	for _, name := range []layout.Key{"gearbox_shaft_bearings", "alternator"} {
		for _, key := range m.Members(name) {
			reached++
			if got[key] != spread.ExposedCoarse && got[key] != spread.ExposedFines {
				t.Errorf("%s is %s", key, got[key])
			}
		}
	}
	if reached < 6 {
		t.Errorf("only %d parts were looked at", reached)
	}
	wantStates(t, m, r, map[spread.State][]layout.Key{spread.OutOfReach: {"crankshaft", "big_end", "crank_bearings", "followers", "feed_pump", "oil_filter"}})
	for _, c := range r.Components {
		if c.Component == "alternator_rotor" && len(c.Reasons) == 0 {
			t.Error("no word on the rotor's magnets")
		}
	}
}

// A failing small end in a two-stroke: what the mixture carries it through.
func TestTwoStrokeSmallEnd(t *testing.T) {
	t.Parallel()
	m := shipped(t, "two_stroke_single")
	in := spread.Input{Shed: []spread.Shed{{From: "small_end", Material: layout.Steel, Size: spread.Coarse, WidthUM: 300}}}
	wantStates(t, m, trace(t, m, in), map[spread.State][]layout.Key{
		spread.Confirmed:     {"small_end"},
		spread.ExposedCoarse: {"big_end", "crank_bearings", "transfer_ports", "piston", "exhaust_system"},
		spread.OutOfReach:    {"gearbox_shaft_bearings", "gears", "clutch_plates", "alternator_rotor"},
	})
	in.Leaking = []layout.Key{"crank_seal_right"}
	got := states(trace(t, m, in))
	for _, key := range append(m.Members("gearbox_shaft_bearings"), m.Members("gears")...) {
		if got[key] == spread.OutOfReach {
			t.Errorf("%s is out of reach though the crank seal leaks", key)
		}
	}
}

// A magnet cannot see plastic, so a clean plug says nothing of a broken blade.
func TestAMagnetSaysNothingOfPlastic(t *testing.T) {
	t.Parallel()
	m := shipped(t, "parallel_twin_wet_sump")
	for material, want := range map[layout.Material]string{layout.Steel: "75", layout.Plastic: "100"} {
		in := spread.Input{Shed: []spread.Shed{{From: "tensioner_blade", Material: material, Size: spread.Coarse, WidthUM: 9000}},
			LooksDone: []spread.LookDone{{Look: "plug_and_oil", Found: spread.FoundClean}}}
		for _, c := range trace(t, m, in).Components {
			if c.Component == "gears_low" && c.Doubt != want {
				t.Errorf("%s: a clean plug leaves %s %% of the doubt about the gears, want %s", material, c.Doubt, want)
			}
		}
	}
}

func TestTheLeakingSealIsNamed(t *testing.T) {
	t.Parallel()
	m := shipped(t, "two_stroke_single")
	in := spread.Input{Shed: []spread.Shed{{From: "small_end", Material: layout.Steel, Size: spread.Coarse, WidthUM: 300}}, Leaking: []layout.Key{"crank_seal_right"}}
	named := 0
	for _, c := range trace(t, m, in).Components {
		if strings.Contains(c.Sentence, "past the leaking") {
			named++
		}
	}
	if named == 0 {
		t.Error("no sentence names the seal")
	}
}
