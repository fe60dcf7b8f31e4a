package flow_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/flow"
)

func TestNextLine(t *testing.T) {
	t.Parallel()
	yes := flow.LineFacts{Row: row("l1"), Stage: flow.Repair, Covered: true, Reason: "not needed after all"}
	no := flow.LineFacts{Row: row("l1"), Stage: flow.Authorization}
	type cell struct {
		to   flow.LineState
		gate string
	}
	want := map[flow.LineState]map[flow.LineMove]cell{
		flow.LineProposed: {
			flow.LineAgree:  {flow.LineAgreed, "lines.not_covered"},
			flow.LineStrike: {flow.LineStruck, "lines.reason_missing"},
		},
		flow.LineAgreed: {
			flow.LineFinish: {flow.LineDone, "lines.not_now"},
			flow.LineStrike: {flow.LineStruck, "lines.reason_missing"},
		},
	}
	for _, s := range append(flow.LineStates(), "strange") {
		for _, m := range append(flow.LineMoves(), "strange") {
			c, known := want[s][m]
			to, unmet, err := flow.NextLine(s, m, yes)
			if !known {
				checkConflict(t, err, "flow.line_move_unknown")
				if to != s || unmet != nil {
					t.Errorf("%s x %s: %s %v", s, m, to, unmet)
				}
				continue
			}
			if to != c.to || unmet != nil || err != nil {
				t.Errorf("%s x %s: %s %v %v, want %s", s, m, to, unmet, err, c.to)
			}
			to, unmet, err = flow.NextLine(s, m, no)
			if to != s || !slices.Equal(codes(unmet), []string{c.gate}) || unmet[0].Subject != "l1" || err != nil {
				t.Errorf("%s x %s without facts: %s %v %v, want %s", s, m, to, unmet, err, c.gate)
			}
		}
	}
}

func TestWhereALineMayBeWorked(t *testing.T) {
	t.Parallel()
	type kind struct{ look, after bool }
	free := map[flow.Stage][]kind{
		flow.Diagnosis: {{look: true}, {look: true, after: true}},
		flow.Teardown:  {{look: true}, {look: true, after: true}},
		flow.Repair:    {{}, {look: true}},
		flow.RoadTest:  {{after: true}, {look: true, after: true}},
		flow.Release:   {{after: true}, {look: true, after: true}},
	}
	seen := []string{}
	for _, s := range append(flow.Stages(), "limbo") {
		for _, k := range []kind{{}, {look: true}, {after: true}, {look: true, after: true}} {
			l := flow.LineFacts{Row: row("l1"), Stage: s, ForLook: k.look, AfterRide: k.after}
			got := flow.MayWork(flow.LineAgreed, l)
			seen = append(seen, codes(got)...)
			if slices.Contains(free[s], k) != (len(got) == 0) {
				t.Errorf("%s %+v: %v", s, k, codes(got))
			}
		}
	}
	back := []flow.Stage{flow.Teardown, flow.Authorization, flow.Repair}
	for _, s := range append(flow.Stages(), "limbo") {
		got := flow.MayWork(flow.LineAgreed, flow.LineFacts{Row: row("l1"), Stage: s, PutBack: true})
		if slices.Contains(back, s) != (len(got) == 0) {
			t.Errorf("putting back in %s: %v", s, codes(got))
		}
	}
	for _, state := range flow.LineStates() {
		got := flow.MayWork(state, flow.LineFacts{Row: row("l1"), Stage: flow.Repair})
		seen = append(seen, codes(got)...)
		if (state == flow.LineAgreed) != (len(got) == 0) {
			t.Errorf("%s: %v", state, codes(got))
		}
	}
	for _, c := range []string{"lines.not_now", "lines.not_agreed"} {
		if !slices.Contains(seen, c) || !slices.Contains(flow.LineRules(), c) {
			t.Errorf("%s not raised or not listed", c)
		}
	}
	if diff := cmp.Diff(4, len(flow.LineRules())); diff != "" {
		t.Error(diff)
	}
}
