package layout_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/layout"
)

// shippedMaps are the maps that must be there.
var shippedMaps = []layout.Key{"parallel_twin_wet_sump", "two_stroke_single", "v_twin_dry_belt", "v_twin_shared_case"}

func shipped(t testing.TB) (map[layout.Key]layout.Map, []layout.Sheet) {
	t.Helper()
	maps, sheets, err := layout.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	byCode := map[layout.Key]layout.Map{}
	for _, m := range maps {
		byCode[m.Code] = m
	}
	if len(byCode) != len(maps) {
		t.Error("two maps have one code")
	}
	return byCode, sheets
}

func TestShippedMapsAreSound(t *testing.T) {
	t.Parallel()
	maps, _ := shipped(t)
	schema := outside(t, layout.MapSchema())
	for code, m := range maps {
		for _, f := range layout.Check(m) {
			t.Errorf("%s at %s (%s): %s %s", code, f.Pointer, f.Key, f.Code, f.Message)
		}
		if err := valid(t, schema, emptied(t, m)); err != nil {
			t.Errorf("%s: %v", code, err)
		}
		if !m.Example {
			t.Errorf("%s is not marked as an example", code)
		}
	}
}

func TestShippedSheetsAreSound(t *testing.T) {
	t.Parallel()
	maps, sheets := shipped(t)
	schema := outside(t, layout.SheetSchema())
	for _, s := range sheets {
		m, ok := maps[s.Map]
		if !ok {
			t.Errorf("%s is for %s, which is not shipped", s.Code, s.Map)
			continue
		}
		for _, f := range layout.CheckSheet(s, m) {
			t.Errorf("%s at %s (%s): %s %s", s.Code, f.Pointer, f.Key, f.Code, f.Message)
		}
		if err := valid(t, schema, emptied(t, s)); err != nil {
			t.Errorf("%s: %v", s.Code, err)
		}
		if !s.Example {
			t.Errorf("%s is not marked as an example", s.Code)
		}
		for _, source := range s.Sources {
			if source.Kind == layout.FromMaker || source.Kind == layout.FromShop {
				t.Errorf("%s: %s claims to be real", s.Code, source.Key)
			}
		}
	}
}

// TestShippedMapsAreWhole demands of each shipped map what a shop needs to
// work with it, and a figure for every point and joint.
func TestShippedMapsAreWhole(t *testing.T) {
	t.Parallel()
	maps, sheets := shipped(t)
	for _, code := range shippedMaps {
		m, ok := maps[code]
		if !ok {
			t.Errorf("%s is not shipped", code)
			continue
		}
		for _, tt := range []struct {
			what      string
			got, want int
		}{
			{"components", len(m.Components), 30}, {"circuits", len(m.Circuits), 1}, {"steps", len(m.Steps), 18},
			{"fastenings", len(m.Fastenings), 14}, {"points", len(m.Points), 10}, {"looks", len(m.Looks), 8},
			{"groups", len(m.Groups), 1}, {"assemblies", len(m.Assemblies), 3}, {"compartments", len(m.Compartments), 2},
		} {
			if tt.got < tt.want {
				t.Errorf("%s: %d %s, want at least %d", code, tt.got, tt.what, tt.want)
			}
		}
		figured(t, m, sheets)
	}
}

func figured(t *testing.T, m layout.Map, sheets []layout.Sheet) {
	t.Helper()
	s, ok := layout.Match(sheets, layout.Machine{Map: m.Code})
	if !ok {
		t.Errorf("%s has no sheet", m.Code)
		return
	}
	for _, p := range m.Points {
		if _, ok := s.Limit(p.Key); !ok {
			t.Errorf("%s: no limit for %s", s.Code, p.Key)
		}
	}
	staged := 0
	for _, f := range m.Fastenings {
		torque, ok := s.Torque(f.Key)
		if !ok {
			t.Errorf("%s: no torque for %s", s.Code, f.Key)
		}
		if len(torque.Stages) > 1 {
			staged++
		}
	}
	if staged == 0 {
		t.Errorf("%s: no joint is drawn in stages", s.Code)
	}
}

func TestShippedMap(t *testing.T) {
	t.Parallel()
	_, ok, err := layout.ShippedMap("no_such_machine")
	if ok || err != nil {
		t.Errorf("got %v, %v", ok, err)
	}
	if _, ok, err := layout.ShippedMap("../shipped"); ok || err != nil {
		t.Errorf("got %v, %v", ok, err)
	}
	maps, sheets := shipped(t)
	for code, want := range maps {
		m, ok, err := layout.ShippedMap(code)
		if !ok || err != nil {
			t.Errorf("%s: %v", code, err)
		}
		if diff := cmp.Diff(want, m); diff != "" {
			t.Error(diff)
		}
	}
	for _, want := range sheets {
		s, ok, err := layout.ShippedSheet(want.Map)
		if !ok || err != nil {
			t.Errorf("%s: %v", want.Map, err)
		}
		if diff := cmp.Diff(want, s); diff != "" {
			t.Error(diff)
		}
	}
}

// TestShippedMapsMarkWhatCanHurt holds that a part whose failure can hurt
// somebody on the road is critical on every map.
func TestShippedMapsMarkWhatCanHurt(t *testing.T) {
	t.Parallel()
	critical := map[layout.Key]bool{
		"wheel": true, "wheel_bearing": true, "axle": true, "tyre": true, "brake_disc": true, "brake_pads": true, "brake_caliper": true,
		"brake_hose": true, "master_cylinder": true, "steering_bearing": true, "fork": true, "swingarm_bearing": true,
		"drive_chain": true, "drive_belt": true, "throttle_cable": true,
	}
	maps, _ := shipped(t)
	seen := 0
	for code, m := range maps {
		for _, p := range m.Components {
			if critical[p.Kind] && p.Safety != layout.Critical {
				t.Errorf("%s: %s is %s", code, p.Key, p.Safety)
			}
			if critical[p.Kind] {
				seen++
			}
		}
	}
	if seen < 40 {
		t.Errorf("only %d such parts", seen)
	}
}
