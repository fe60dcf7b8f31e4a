package access_test

import (
	"slices"
	"testing"

	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// shippedMap gives a map that comes with the program.
func shippedMap(t *testing.T, code layout.Key) *layout.Compiled {
	t.Helper()
	m, ok, err := layout.ShippedMap(code)
	if err != nil || !ok {
		t.Fatalf("%s is not shipped: %v", code, err)
	}
	c, err := layout.Compile(m)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func planOf(t *testing.T, m *layout.Compiled, parts ...layout.Key) access.Result {
	t.Helper()
	return plan(t, m, access.Request{Targets: renew(parts...)})
}

// TestShippedJointsAreCheckedBeforeTheyAreCovered changes each part of each
// map: a hold point is left for the hand-over only where the plan never opened
// what would cover the joint, as with a caliper taken off on the floor.
func TestShippedJointsAreCheckedBeforeTheyAreCovered(t *testing.T) {
	t.Parallel()
	maps, _, err := layout.Shipped()
	if err != nil || len(maps) == 0 {
		t.Fatalf("%d maps are shipped: %v", len(maps), err)
	}
	for _, doc := range maps {
		m := shippedMap(t, doc.Code)
		for _, p := range doc.Components {
			r := planOf(t, m, p.Key)
			for _, h := range r.HoldsLeft {
				if !slices.Contains(closed(r), h.Before) {
					continue
				}
				t.Errorf("%s, %s: %s", doc.Code, p.Key, h.Words)
			}
		}
	}
}

// TestTwinTensioner holds what the trade knows of the example twin: the
// tensioner body comes out from outside in about two hours, and what lies
// behind the timing cover is a job of another size. Common practice, no
// source.
func TestTwinTensioner(t *testing.T) {
	t.Parallel()
	m := shippedMap(t, "parallel_twin_wet_sump")
	body := planOf(t, m, "timing_chain_tensioner")
	if body.Minutes.Total < 105 || body.Minutes.Total > 135 || slices.Contains(opened(body), "timing_cover") {
		t.Errorf("the tensioner body takes %d minutes by way of %v", body.Minutes.Total, opened(body))
	}
	for _, part := range []layout.Key{"tensioner_blade", "chain_guide", "timing_chain", "crank_sprocket"} {
		r := planOf(t, m, part)
		if !slices.Contains(opened(r), "timing_cover") || r.Minutes.Total < 2*body.Minutes.Total {
			t.Errorf("%s takes %d minutes by way of %v", part, r.Minutes.Total, opened(r))
		}
	}
	cams := planOf(t, m, "timing_chain")
	order := closed(cams)
	if !(slices.Index(order, "cams_out") < slices.Index(order, "tensioner_out") && slices.Index(order, "tensioner_out") < slices.Index(order, "timing_set")) {
		t.Errorf("cams, then the tensioner, then the marks again; got %v", order)
	}
}

// TestTwoStrokeSeals holds that each crank seal of the example single comes
// out from its own side, and that it is the main bearings and gears for which
// the cases are split. Common practice, no source.
func TestTwoStrokeSeals(t *testing.T) {
	t.Parallel()
	m := shippedMap(t, "two_stroke_single")
	for part, split := range map[layout.Key]bool{"crank_seal_left": false, "crank_seal_right": false, "small_end": false, "main_bearing_left": true, "gears_low": true} {
		if r := planOf(t, m, part); slices.Contains(opened(r), "split_cases") != split {
			t.Errorf("%s by way of %v", part, opened(r))
		}
	}
	both := planOf(t, m, "main_bearing_left", "crank_seal_left", "crank_seal_right")
	alone := planOf(t, m, "main_bearing_left")
	if both.Minutes.Open != alone.Minutes.Open {
		t.Errorf("with the cases split the seals cost no more opening: %d and %d minutes", both.Minutes.Open, alone.Minutes.Open)
	}
	engine := closed(alone)
	if slices.Index(engine, "rotor_off") > slices.Index(engine, "engine_out") {
		t.Errorf("the rotor goes on at the bench, before the engine goes in; got %v", engine)
	}
}
