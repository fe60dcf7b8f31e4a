package flow_test

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/flow"
)

func seen() flow.SecondLook {
	t := flow.Target{MilliNewtonMetres: 108_000, MilliDegrees: 90_000}
	return flow.SecondLook{
		Row: row("j1"), Done: true, DoneBy: "ann", Checker: "bo", SignedOn: true, ToolGood: true,
		Recorded: t, LookedUp: t, Wrench: 108_000, Watched: true, Marked: true,
	}
}

func alone() flow.SecondLook {
	s := seen()
	s.Checker, s.SelfReinspection, s.OnePersonShop, s.Watched, s.SinceDone = "ann", true, true, false, flow.SelfCheckAfter
	return s
}

func TestCheckFastening(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name  string
		start flow.SecondLook
		spoil func(*flow.SecondLook)
		want  []string
	}{
		{"second person", seen(), func(*flow.SecondLook) {}, nil},
		{"alone, later", alone(), func(*flow.SecondLook) {}, nil},
		{"struck", seen(), func(s *flow.SecondLook) { s.Struck = true }, []string{"fastenings.struck"}},
		{"before it is done", seen(), func(s *flow.SecondLook) { s.Done = false }, []string{"fastenings.not_done"}},
		{"by nobody known", seen(), func(s *flow.SecondLook) { s.DoneBy = "" }, []string{"fastenings.not_done"}},
		{"own work", seen(), func(s *flow.SecondLook) { s.Checker = "ann" }, []string{"fastenings.checker_is_doer"}},
		{"own work in a one-person shop, not flagged", alone(), func(s *flow.SecondLook) { s.SelfReinspection, s.Watched = false, true }, []string{"fastenings.checker_is_doer"}},
		{"alone where there are two", alone(), func(s *flow.SecondLook) { s.OnePersonShop = false }, []string{"fastenings.second_person_there"}},
		{"alone, at once", alone(), func(s *flow.SecondLook) { s.SinceDone -= time.Second }, []string{"fastenings.too_soon"}},
		{"stale sign-on", seen(), func(s *flow.SecondLook) { s.SignedOn = false }, []string{"fastenings.not_signed_on"}},
		{"nobody", seen(), func(s *flow.SecondLook) { s.Checker = "" }, []string{"fastenings.not_signed_on"}},
		{"wrench out of date", seen(), func(s *flow.SecondLook) { s.ToolGood = false }, []string{"fastenings.tool_out_of_date"}},
		{"another target", seen(), func(s *flow.SecondLook) { s.Recorded.MilliNewtonMetres = 90_000 }, []string{"fastenings.target_differs"}},
		{"another angle", seen(), func(s *flow.SecondLook) { s.LookedUp.MilliDegrees = 180_000 }, []string{"fastenings.target_differs"}},
		{"other words", seen(), func(s *flow.SecondLook) { s.LookedUp.Words = "clip to the rear" }, []string{"fastenings.target_differs"}},
		{"no target recorded", seen(), func(s *flow.SecondLook) { s.Recorded.MilliNewtonMetres = 0 }, []string{"fastenings.target_differs"}},
		{"80 ft-lb for 108 N m", seen(), func(s *flow.SecondLook) { s.LookedUp.MilliNewtonMetres, s.Wrench = 108_465, 108_465 }, nil},
		{"3 % apart", seen(), func(s *flow.SecondLook) { s.Wrench = 111_300 }, []string{"fastenings.wrench_differs"}},
		{"wrench elsewhere", seen(), func(s *flow.SecondLook) { s.Wrench = 90_000 }, []string{"fastenings.wrench_differs"}},
		{"wrench not read", seen(), func(s *flow.SecondLook) { s.Wrench = 0 }, []string{"fastenings.wrench_differs"}},
		{"a clip has no torque", seen(), func(s *flow.SecondLook) {
			s.Recorded, s.LookedUp, s.Wrench = flow.Target{Words: "closed end forward"}, flow.Target{Words: "closed end forward"}, 0
		}, nil},
		{"absurd figures", seen(), func(s *flow.SecondLook) { s.LookedUp.MilliNewtonMetres = math.MaxInt64 }, []string{"fastenings.target_differs", "fastenings.wrench_differs"}},
		{"not watched", seen(), func(s *flow.SecondLook) { s.Watched = false }, []string{"fastenings.not_watched"}},
		{"flagged alone, but it was somebody else", seen(), func(s *flow.SecondLook) { s.SelfReinspection, s.OnePersonShop, s.Watched = true, true, false }, []string{"fastenings.not_watched"}},
		{"not marked", alone(), func(s *flow.SecondLook) { s.Marked = false }, []string{"fastenings.not_marked"}},
	}
	raised := map[string]bool{}
	for _, tt := range tests {
		s := tt.start
		tt.spoil(&s)
		got := codes(flow.CheckFastening(s))
		for _, c := range got {
			raised[c] = true
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
	if len(flow.SecondLookRules()) == 0 {
		t.Fatal("no rules")
	}
	for _, r := range flow.SecondLookRules() {
		if !raised[r.Code] || !r.Safety {
			t.Errorf("%s: no case, or not a safety gate", r.Code)
		}
	}
}

// Nobody passes their own work, however the facts fall, but a lone
// technician who waited.
func TestNobodyPassesTheirOwnWork(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := func(name string) bool { return rapid.Bool().Draw(t, name) }
		s := seen()
		s.Checker = rapid.SampledFrom([]string{"ann", "bo", ""}).Draw(t, "checker")
		s.SelfReinspection, s.OnePersonShop, s.Watched = b("self"), b("one"), b("watched")
		s.SinceDone = time.Duration(rapid.IntRange(-10, 60).Draw(t, "minutes")) * time.Minute
		free := len(flow.CheckFastening(s)) == 0
		second := s.Checker == "bo" && s.Watched && (!s.SelfReinspection || s.OnePersonShop)
		lone := s.Checker == "ann" && s.SelfReinspection && s.OnePersonShop && s.SinceDone >= 30*time.Minute
		if free != (second || lone) {
			t.Fatalf("free = %v for %+v", free, s)
		}
	})
}

func TestPassHoldPoint(t *testing.T) {
	t.Parallel()
	base := func() flow.Facts {
		f := good()
		f.HoldPoints = append(f.HoldPoints, flow.HoldPoint{Row: row("h2")})
		f.Fastenings = append(f.Fastenings,
			flow.Fastening{Row: row("j2"), Critical: true, HoldPoint: "h2"},
			flow.Fastening{Row: row("j3"), HoldPoint: "h1"},
			flow.Fastening{Row: row("j4"), Critical: true, HoldPoint: "h1", Struck: true})
		f.Tags[0].Accounted = false // a tag elsewhere does not hold up a cover
		return f
	}
	tests := []struct {
		name  string
		id    string
		spoil func(*flow.Facts)
		want  []string
	}{
		{"all checked", "h1", func(*flow.Facts) {}, nil},
		{"one not done", "h2", func(*flow.Facts) {}, []string{"repair.fastening_not_done"}},
		{"one not checked", "h1", func(f *flow.Facts) { f.Fastenings[0].Checked = false }, []string{"repair.fastening_not_checked"}},
		{"own work", "h1", func(f *flow.Facts) { f.Fastenings[0].CheckedBy = "ann" }, []string{"repair.fastening_not_checked"}},
		{"no such hold point", "h9", func(*flow.Facts) {}, []string{"repair.hold_point_unknown"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			f := base()
			tt.spoil(&f)
			if diff := cmp.Diff(tt.want, codes(flow.PassHoldPoint(f, tt.id))); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

func TestFirstStart(t *testing.T) {
	t.Parallel()
	if got := flow.FirstStart(flow.Facts{}); got != nil {
		t.Errorf("an engine nobody opened: %v", codes(got))
	}
	f := flow.Facts{FirstStart: flow.FirstStartFacts{EngineOpened: true, PressureInQuestion: true}}
	want := []string{
		"first_start.not_turned_by_hand", "first_start.marks_not_reread", "first_start.no_oil",
		"first_start.leaks_not_checked", "first_start.tools_not_out",
	}
	if diff := cmp.Diff(want, codes(flow.FirstStart(f))); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if got := flow.FirstStart(good()); got != nil {
		t.Errorf("all done: %v", codes(got))
	}
}

func TestFresh(t *testing.T) {
	t.Parallel()
	now := time.Date(2031, 5, 2, 15, 0, 0, 0, time.UTC)
	ago := func(d time.Duration) time.Time { return now.Add(-d) }
	tests := []struct {
		name string
		in   flow.CheckTimes
		want bool
	}{
		{"just now, nobody worked", flow.CheckTimes{Passed: now, Now: now}, true},
		{"after the work", flow.CheckTimes{Passed: ago(time.Hour), LastWork: ago(2 * time.Hour), Now: now}, true},
		{"at the end of the work", flow.CheckTimes{Passed: ago(time.Hour), LastWork: ago(time.Hour), Now: now}, true},
		{"before the last work", flow.CheckTimes{Passed: ago(time.Hour), LastWork: ago(time.Minute), Now: now}, false},
		{"at the limit", flow.CheckTimes{Passed: ago(flow.PreRideGood), Now: now}, true},
		{"yesterday", flow.CheckTimes{Passed: ago(20 * time.Hour), Now: now}, false},
		{"in the future", flow.CheckTimes{Passed: now.Add(time.Second), Now: now}, false},
		{"never", flow.CheckTimes{Now: now}, false},
	}
	for _, tt := range tests {
		if got := flow.Fresh(tt.in); got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}
