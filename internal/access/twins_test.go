package access_test

import (
	"slices"
	"testing"

	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// TestTwinsOpenUpAsTheTradeDoes holds which big steps a part of the example
// twins takes and which it does without. Common practice, no source.
func TestTwinsOpenUpAsTheTradeDoes(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		code    layout.Key
		part    layout.Key
		do      access.Do
		takes   []layout.Key
		without []layout.Key
	}{
		// Being sure of the shaft bearings means splitting the cases.
		{"v_twin_shared_case", "mainshaft_bearing_left", access.Look, []layout.Key{"engine_out", "split_cases"}, []layout.Key{"crank_out", "gear_shafts_out"}},
		{"v_twin_shared_case", "countershaft_bearing_right", access.Renew, []layout.Key{"split_cases", "gear_shafts_out"}, []layout.Key{"crank_out"}},
		{"v_twin_shared_case", "clutch_plates", access.Renew, []layout.Key{"clutch_hatch_off"}, []layout.Key{"primary_cover_off", "drain_gear_oil"}},
		{"v_twin_shared_case", "primary_chain", access.Look, []layout.Key{"chain_hatch_off"}, []layout.Key{"primary_cover_off"}},
		{"v_twin_shared_case", "primary_chain", access.Renew, []layout.Key{"primary_drive_out", "drain_gear_oil"}, []layout.Key{"engine_out", "drain_tank_oil"}},
		{"v_twin_shared_case", "alternator_stator", access.Renew, []layout.Key{"primary_drive_out", "rotor_off"}, []layout.Key{"engine_out"}},
		{"v_twin_shared_case", "tensioner_shoe", access.Renew, []layout.Key{"cam_cover_off"}, []layout.Key{"rockers_off_1", "primary_cover_off"}},
		{"v_twin_shared_case", "camshaft", access.Renew, []layout.Key{"pushrods_out_1", "pushrods_out_2"}, []layout.Key{"pushrods_cut_1", "head_off_1", "engine_out"}},
		{"v_twin_shared_case", "big_end", access.Renew, []layout.Key{"split_cases", "crank_out"}, []layout.Key{"gear_shafts_out"}},
		{"v_twin_dry_belt", "primary_belt", access.Renew, []layout.Key{"primary_cover_off", "front_pulley_off"}, []layout.Key{"clutch_out", "drain_gear_oil", "drain_engine_oil"}},
		{"v_twin_dry_belt", "gears_low", access.Renew, []layout.Key{"gear_door_off", "clutch_out"}, []layout.Key{"engine_out", "gearbox_out", "split_cases"}},
		{"v_twin_dry_belt", "shift_forks", access.Renew, []layout.Key{"gear_top_cover_off"}, []layout.Key{"gear_door_off"}},
		{"v_twin_dry_belt", "drive_belt", access.Renew, []layout.Key{"inner_primary_off", "swingarm_out"}, []layout.Key{"engine_out", "gearbox_out"}},
		{"v_twin_dry_belt", "camshaft_1", access.Renew, []layout.Key{"cams_out", "pushrods_out_1"}, []layout.Key{"rockers_off_1", "tank_off"}},
		{"v_twin_dry_belt", "main_bearing_left", access.Renew, []layout.Key{"split_cases", "crank_out"}, []layout.Key{"gear_door_off", "gearbox_out"}},
	} {
		r := plan(t, shippedMap(t, tt.code), access.Request{Targets: []access.Target{{Component: tt.part, Do: tt.do}}})
		for _, step := range tt.takes {
			if !slices.Contains(opened(r), step) {
				t.Errorf("%s, %s %s: not by way of %s, but %v", tt.code, tt.do, tt.part, step, opened(r))
			}
		}
		for _, step := range tt.without {
			if slices.Contains(opened(r), step) {
				t.Errorf("%s, %s %s: takes %s: %v", tt.code, tt.do, tt.part, step, opened(r))
			}
		}
	}
}

// TestTwinsWhenAStepIsNotPossible holds that the maps have another way where
// the trade has one.
func TestTwinsWhenAStepIsNotPossible(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		code, part, blocked, instead layout.Key
	}{
		{"v_twin_shared_case", "camshaft", "rockers_off_1", "pushrods_cut_1"}, // a sheared rocker bolt
		{"v_twin_shared_case", "clutch_plates", "clutch_hatch_off", "primary_cover_off"},
		{"v_twin_dry_belt", "gears_low", "exhaust_off", "gearbox_out"}, // a seized header
		{"v_twin_dry_belt", "countershaft_bearing_left", "exhaust_off", "gearbox_out"},
	} {
		m := shippedMap(t, tt.code)
		usual := planOf(t, m, tt.part)
		r := plan(t, m, access.Request{Targets: renew(tt.part), NotPossible: []layout.Key{tt.blocked}})
		if !slices.Contains(opened(r), tt.instead) || slices.Contains(opened(r), tt.blocked) {
			t.Errorf("%s, %s without %s: by way of %v", tt.code, tt.part, tt.blocked, opened(r))
		}
		if r.Minutes.Total < usual.Minutes.Total {
			t.Errorf("%s, %s: the other way takes %d minutes, the usual one %d", tt.code, tt.part, r.Minutes.Total, usual.Minutes.Total)
		}
	}
}

// TestTwinsGoBackInTheirOwnOrder holds the order of going together, which is
// not the reverse of taking apart: pumps and cams go on at the bench, before
// the engine goes in, and the primary drive in the frame, which holds it while
// its nuts are drawn. Common practice, no source.
func TestTwinsGoBackInTheirOwnOrder(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		code  layout.Key
		parts []layout.Key
		order []layout.Key
	}{
		{"v_twin_shared_case", []layout.Key{"mainshaft_bearing_left", "big_end"},
			[]layout.Key{"crank_out", "split_cases", "oil_pumps_out", "cams_out", "cam_cover_off", "engine_out", "output_sprocket_off", "primary_drive_out", "clutch_plates_out", "primary_cover_off", "drain_gear_oil", "battery_off"}},
		{"v_twin_shared_case", []layout.Key{"output_sprocket", "rear_tyre"},
			[]layout.Key{"rear_wheel_out", "output_sprocket_off", "drive_chain_apart", "sprocket_cover_off", "secure_machine"}},
		{"v_twin_shared_case", []layout.Key{"camshaft", "piston_1"},
			[]layout.Key{"cams_out", "followers_out_1", "pushrods_out_1", "rockers_off_1", "rocker_cover_1", "drain_tank_oil"}},
		{"v_twin_dry_belt", []layout.Key{"main_bearing_left", "mainshaft_bearing_left"},
			[]layout.Key{"split_cases", "oil_pump_out", "cams_out", "cam_cover_off", "engine_out", "inner_primary_off", "front_pulley_off", "primary_cover_off", "battery_off"}},
		{"v_twin_dry_belt", []layout.Key{"piston_2"},
			[]layout.Key{"piston_off_2", "cylinder_off_2", "head_off_2", "rockers_off_2", "rocker_cover_2", "tank_off", "seat_off"}},
	} {
		got := closed(planOf(t, shippedMap(t, tt.code), tt.parts...))
		last := -1
		for _, step := range tt.order {
			at := slices.Index(got, step)
			if at <= last {
				t.Errorf("%s, %v: %s is closed out of turn: %v", tt.code, tt.parts, step, got)
			}
			last = at
		}
	}
}
