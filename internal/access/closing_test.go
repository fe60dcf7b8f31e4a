package access_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// bench is an engine whose closing is not its opening reversed: the head goes
// on before the chain can be hung, though the chain came off after the cover.
func bench(t fataler, joints ...layout.Fastening) *layout.Compiled {
	cover, head, cams := step("cover", 1, 2), step("head", 1, 2, keys("cams")), step("cams", 1, 2, keys("cover"))
	side := step("side", 1, 2)
	cams.BackAfter = keys("side")
	return machine(t, []layout.Step{cover, cams, head, side, step("fairing", 1, 1)}, []layout.Component{part("valve", keys("head", "side")), part("nut")}, joints...)
}

func TestClosingOrder(t *testing.T) {
	t.Parallel()
	guard := layout.Fastening{Key: "side_bolts", Step: "cover", HoldBefore: "side"}
	head := layout.Fastening{Key: "head_bolts", Step: "side", HoldBefore: "head"}
	for name, c := range map[string]struct {
		joints []layout.Fastening
		done   []layout.Key
		want   []layout.Key
		warned bool
	}{
		"back_after, then the last opened first":            {nil, nil, keys("side", "head", "cams", "cover"), false},
		"a joint is drawn before what covers it":            {[]layout.Fastening{head}, nil, keys("side", "head", "cams", "cover"), false},
		"the map may close a step before those it opened":   {[]layout.Fastening{guard}, nil, keys("head", "cover", "side", "cams"), false},
		"a hold point that the map's order rules out":       {[]layout.Fastening{{Key: "cam_bolts", Step: "cams", HoldBefore: "side"}}, nil, keys("side", "head", "cams", "cover"), true},
		"what was open before is closed with it, uncounted": {nil, keys("cover", "cams"), keys("side", "head", "cams", "cover"), true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := plan(t, bench(t, c.joints...), access.Request{Targets: renew("valve"), Done: c.done})
			if diff := cmp.Diff(c.want, closed(r)); diff != "" {
				t.Errorf("order (-want +got):\n%s", diff)
			}
			if r.Minutes.BackOfDone != int64(2*len(c.done)) {
				t.Errorf("closing of done steps: %d", r.Minutes.BackOfDone)
			}
			if got := len(warningsOfPlan(r)) > 0; got != c.warned {
				t.Errorf("warnings %q", r.Warnings)
			}
		})
	}
}

// warningsOfPlan leaves out those about example maps and torques, which the
// maps of these tests always bring.
func warningsOfPlan(r access.Result) []string {
	return slices.DeleteFunc(slices.Clone(r.Warnings), func(w string) bool {
		return strings.Contains(w, "example") || strings.Contains(w, "torque")
	})
}

func TestHoldsAndJoints(t *testing.T) {
	t.Parallel()
	m := bench(t,
		layout.Fastening{Key: "cam_caps", Step: "cams", HoldBefore: "cover", Pattern: "from the middle out", NewBolt: true},
		layout.Fastening{Key: "cover_bolts", Step: "cover", HoldBefore: "fairing"},
		layout.Fastening{Key: "big_nut", Component: "nut", HoldBefore: "side"},
		layout.Fastening{Key: "other_nut", Component: "valve"},
		layout.Fastening{Key: "elsewhere", Step: "fairing", HoldBefore: "cover"},
	)
	sheet := &layout.Sheet{Map: "bench", Sources: []layout.Source{{Key: "made_up", Kind: layout.FromExample, Title: "Invented"}},
		Torques: []layout.Torque{
			{Fastening: "cam_caps", Source: "made_up", Stages: []layout.Stage{{Torque: &layout.Amount{Value: "8", Unit: "N.m"}}, {AngleDeg: 90}}},
			{Fastening: "cover_bolts", Source: "nowhere", Stages: []layout.Stage{{AngleDeg: 30}}},
		}}
	r := plan(t, m, access.Request{Targets: renew("valve", "nut"), Sheet: sheet})
	cover := r.Closing[len(r.Closing)-1]
	if len(cover.Holds) != 1 || cover.Holds[0].Fastening != "cam_caps" || cover.Step != "cover" {
		t.Errorf("holds before the cover: %+v", cover.Holds)
	}
	if first := r.Closing[0]; first.Step != "side" || len(first.Holds) != 1 || first.Holds[0].Fastening != "big_nut" {
		t.Errorf("hold for the nut drawn at the part: %+v", r.Closing[0])
	}
	if len(r.HoldsLeft) != 1 || r.HoldsLeft[0].Fastening != "cover_bolts" {
		t.Errorf("holds left: %+v", r.HoldsLeft)
	}
	if len(r.AtParts) != 2 || r.AtParts[0].Fastening != "big_nut" || r.AtParts[0].NoData == "" {
		t.Errorf("joints at the parts: %+v", r.AtParts)
	}
	caps := r.Closing[len(r.Closing)-2].Joints
	if len(caps) != 1 || len(caps[0].Stages) != 2 || caps[0].Source.Title != "Invented" || caps[0].NoData != "" || !caps[0].NewBolt {
		t.Errorf("cam caps: %+v", caps)
	}
	if j := cover.Joints[0]; j.NoData == "" || len(j.Stages) != 0 {
		t.Errorf("a torque without a source stands: %+v", j)
	}
	for _, part := range []string{"3 of 4 joints have no torque", "1 of 4 joints have example torques"} {
		if !slices.ContainsFunc(r.Warnings, func(w string) bool { return strings.HasPrefix(w, part) }) {
			t.Errorf("no warning %q in %q", part, r.Warnings)
		}
	}
}

// A joint that is drawn after the step that would cover it is closed cannot be
// checked before; it is left for the hand-over, and not put where it is too late.
func TestHoldThatComesTooLate(t *testing.T) {
	t.Parallel()
	m := bench(t, layout.Fastening{Key: "cam_bolts", Step: "cams", HoldBefore: "side"})
	r := plan(t, m, access.Request{Targets: renew("valve")})
	for _, c := range r.Closing {
		if len(c.Holds) != 0 {
			t.Errorf("a hold before %s: %+v", c.Step, c.Holds)
		}
	}
	if len(r.HoldsLeft) != 1 || r.HoldsLeft[0].Fastening != "cam_bolts" {
		t.Errorf("holds left: %+v", r.HoldsLeft)
	}
}

// A look draws no joint of the part it looks at.
func TestLookDrawsNothing(t *testing.T) {
	t.Parallel()
	m := bench(t, layout.Fastening{Key: "big_nut", Component: "nut"})
	r := plan(t, m, access.Request{Targets: []access.Target{{Component: "nut", Do: access.Look}}})
	if len(r.AtParts) != 0 || r.Minutes.Total != 0 {
		t.Errorf("%+v", r)
	}
}
