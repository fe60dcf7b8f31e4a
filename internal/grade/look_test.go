package grade_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/fault"
	"benchtag/internal/grade"
	"benchtag/internal/shop"
)

// Every damage mode a finding can have has stages, and no other has.
func TestEveryDamageModeHasStages(t *testing.T) {
	t.Parallel()
	var want []string
	for _, m := range shop.DamageModeValues() {
		if m != shop.DamageModeUnset {
			want = append(want, string(m))
		}
	}
	got := grade.Modes()
	slices.Sort(want)
	slices.Sort(got)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("modes (-shop +grade):\n%s", diff)
	}
}

// Stages have keys and words of their own, get worse, and end in what should
// not go back in.
func TestStagesGetWorse(t *testing.T) {
	t.Parallel()
	for _, mode := range grade.Modes() {
		stages := grade.Stages(mode)
		last := grade.None
		keys := map[string]bool{}
		for _, s := range stages {
			if s.Key == "" || s.Words == "" || keys[s.Key] || s.Grade < last || s.Grade < grade.Serviceable || s.Grade > grade.Failed {
				t.Errorf("%s: %+v after grade %d", mode, s, last)
			}
			keys[s.Key], last = true, s.Grade
			got, err := grade.Look(mode, s.Key)
			if err != nil || got.Mode != mode || got.Stage != s {
				t.Errorf("Look(%s, %s) = %+v, %v", mode, s.Key, got, err)
			}
		}
		if len(stages) < 2 || last != grade.Failed {
			t.Errorf("%s: %d stages, the last of grade %d", mode, len(stages), last)
		}
	}
}

func TestLookRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ mode, stage, code, says string }{
		{"tired", "very", "grade.mode_unknown", "surface_fatigue"},
		{"", "", "grade.mode_unknown", "worn"},
		{"worn", "very", "grade.stage_unknown", "lets_go"},
		{"worn", "", "grade.stage_unknown", "a fingernail feels"},
	} {
		_, err := grade.Look(c.mode, c.stage)
		var f *fault.Error
		if !errors.As(err, &f) || f.Code != c.code || !strings.Contains(f.Message, c.says) {
			t.Errorf("Look(%q, %q): %v", c.mode, c.stage, err)
		}
	}
}

// Published terms stand where a standard has one.
func TestTermsOfTheStandards(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ mode, stage, gear, bearing string }{
		{"surface_fatigue", "first_pits", "initial pitting", "surface initiated fatigue"},
		{"surface_fatigue", "many_pits", "progressive pitting", "subsurface initiated fatigue"},
		{"fretting", "ball_marks", "", "false brinelling"},
		{"tooth_breakage", "sheared", "tooth shear", ""},
		{"corroded", "pits", "chemical corrosion", "moisture corrosion"},
		{"stretched", "end", "", ""},
	} {
		got, err := grade.Look(c.mode, c.stage)
		if err != nil || got.Gear != c.gear || got.Bearing != c.bearing {
			t.Errorf("%s, %s: %+v, %v", c.mode, c.stage, got, err)
		}
	}
}
