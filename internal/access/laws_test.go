package access_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/access"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// drawRequest draws targets with steps done and not possible.
func drawRequest(t *rapid.T, m *layout.Compiled) access.Request {
	req := access.Request{Targets: drawTargets(t, m, "targets")}
	for _, s := range m.Map().Steps {
		switch rapid.IntRange(0, 7).Draw(t, "state") {
		case 0:
			req.Done = append(req.Done, s.Key)
		case 1:
			req.NotPossible = append(req.NotPossible, s.Key)
		}
	}
	return req
}

func unreachable(err error) bool {
	var f *fault.Error
	return errors.As(err, &f) && f.Code == "access.target_unreachable"
}

// Every plan is as cheap as the best of all sets of steps, and is refused only
// where no set would do.
func TestLeastOfAllSets(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMapOf(t, rapid.Bool().Draw(t, "rings"))
		req := drawRequest(t, m)
		want := bruteForce(m, req)
		got, err := access.Plan(m, req)
		if want < 0 {
			if !unreachable(err) {
				t.Fatalf("no set of steps will do, and the answer is %v, %v", got, err)
			}
			return
		}
		if err != nil {
			t.Fatalf("%v, though %d min would do", err, want)
		}
		if !got.Proven || minutes(got) != want {
			t.Fatalf("got %d min, proven %v; the best set takes %d", minutes(got), got.Proven, want)
		}
	})
}

// drawPuzzle draws a map that is all alternatives: steps that need nothing,
// and components each behind any of two or three of them.
func drawPuzzle(t *rapid.T) *layout.Compiled {
	steps := make([]layout.Step, rapid.IntRange(4, 9).Draw(t, "steps"))
	for i := range steps {
		steps[i] = step(stepKey(i), rapid.Int64Range(1, 6).Draw(t, "minutes"), rapid.Int64Range(0, 3).Draw(t, "back"))
	}
	parts := make([]layout.Component, rapid.IntRange(3, 9).Draw(t, "parts"))
	for i := range parts {
		parts[i] = part(layout.Key(fmt.Sprintf("p%d", i)), rapid.SliceOfN(drawSteps(len(steps), 1, 2), 2, 3).Draw(t, "ways")...)
	}
	return machine(t, steps, parts)
}

// Where everything overlaps, the search still finds the best set.
func TestLeastOfPuzzles(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawPuzzle(t)
		var req access.Request
		for _, c := range m.Map().Components {
			req.Targets = append(req.Targets, renew(c.Key)...)
		}
		if got, want := plan(t, m, req), bruteForce(m, req); minutes(got) != want || !got.Proven {
			t.Fatalf("got %d min, the best set takes %d", minutes(got), want)
		}
	})
}

// A plan reaches its targets, does nothing twice, nothing that is done or not
// possible, and no step before what it needs; its sums are sums.
func TestPlanHolds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMapOf(t, rapid.Bool().Draw(t, "rings"))
		req := drawRequest(t, m)
		r, err := access.Plan(m, req)
		if err != nil {
			return
		}
		reached := map[layout.Key]bool{}
		for _, k := range req.Done {
			reached[k] = true
		}
		var open, back int64
		for _, o := range r.Opening {
			i := slices.IndexFunc(m.Map().Steps, func(s layout.Step) bool { return s.Key == o.Step })
			if reached[o.Step] || slices.Contains(req.NotPossible, o.Step) || !met(m.Map().Steps[i], reached) {
				t.Fatalf("%s comes twice, cannot be done, or comes before what it needs: %v", o.Step, opened(r))
			}
			if len(o.NeededBy) == 0 {
				t.Fatalf("nobody needs %s", o.Step)
			}
			reached[o.Step] = true
			open, back = open+o.Minutes, back+o.Back
		}
		for _, target := range req.Targets {
			if !seen(m, target, reached) {
				t.Fatalf("%v is not reached by %v", target, opened(r))
			}
		}
		if r.Minutes.Open != open || r.Minutes.Back != back || r.Minutes.Total != open+back+r.Minutes.Parts {
			t.Fatalf("sums: %+v, want open %d, back %d", r.Minutes, open, back)
		}
		var lines int64
		for _, l := range r.Lines {
			lines += l.Minutes
		}
		if lines != r.Minutes.Total {
			t.Fatalf("the lines add up to %d, the total is %d", lines, r.Minutes.Total)
		}
	})
}

// The order in which targets and steps are named plays no part.
func TestOrderOfRequestPlaysNoPart(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		req := drawRequest(t, m)
		other := access.Request{
			Targets:     rapid.Permutation(req.Targets).Draw(t, "targets again"),
			Done:        rapid.Permutation(append(req.Done, req.Done...)).Draw(t, "done again"),
			NotPossible: rapid.Permutation(req.NotPossible).Draw(t, "not possible again"),
		}
		a, errA := access.Plan(m, req)
		b, errB := access.Plan(m, other)
		if (errA == nil) != (errB == nil) {
			t.Fatalf("%v and %v", errA, errB)
		}
		if diff := cmp.Diff(a, b); diff != "" {
			t.Fatal(diff)
		}
	})
}

// Two sets of targets together never cost more than one after the other.
func TestTogetherIsNoDearer(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		one, other := drawTargets(t, m, "one"), drawTargets(t, m, "other")
		a, b := plan(t, m, access.Request{Targets: one}), plan(t, m, access.Request{Targets: other})
		both := plan(t, m, access.Request{Targets: append(slices.Clone(one), other...)})
		if minutes(both) > minutes(a)+minutes(b) {
			t.Fatalf("together %d, apart %d and %d", minutes(both), minutes(a), minutes(b))
		}
		if minutes(both) < max(minutes(a), minutes(b)) {
			t.Fatalf("more targets take less: %d, apart %d and %d", minutes(both), minutes(a), minutes(b))
		}
	})
}

// A step done beforehand never makes the rest dearer; a step that is not
// possible never makes it cheaper.
func TestDoneIsNoDearer(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		targets := drawTargets(t, m, "targets")
		k := rapid.SampledFrom(m.Map().Steps).Draw(t, "step").Key
		before := plan(t, m, access.Request{Targets: targets})
		after := plan(t, m, access.Request{Targets: targets, Done: keys(k)})
		if minutes(after) > minutes(before) {
			t.Fatalf("with %s done %d min, without %d", k, minutes(after), minutes(before))
		}
		without, err := access.Plan(m, access.Request{Targets: targets, NotPossible: keys(k)})
		if err == nil && minutes(without) < minutes(before) {
			t.Fatalf("without %s %d min, with it %d", k, minutes(without), minutes(before))
		}
	})
}

// The shares add up to the plan; targets with the same ways have the same
// share but for the last thousandth; one that needs nothing has none; nobody
// pays more than the way would cost alone in this plan.
func TestSharesOfPlan(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		r := plan(t, m, access.Request{Targets: drawTargets(t, m, "targets")})
		var sum access.Thousandths
		for i, s := range r.Targets {
			sum += s.Opening
			if len(s.Needs) == 0 && s.Opening != 0 {
				t.Fatalf("%s needs nothing and has %s", s.Component, s.Opening)
			}
			for _, other := range r.Targets[:i] {
				if slices.Equal(s.Needs, other.Needs) && max(s.Opening-other.Opening, other.Opening-s.Opening) > 1 {
					t.Fatalf("%s and %s need the same and have %s and %s", s.Component, other.Component, s.Opening, other.Opening)
				}
			}
		}
		if int64(sum) != 1000*minutes(r) {
			t.Fatalf("the shares add up to %s, the plan takes %d", sum, minutes(r))
		}
	})
}

// What the map says of closing holds; where it says nothing, a step closes
// before those it needed.
func TestClosingFollowsTheMap(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		req := drawRequest(t, m)
		r, err := access.Plan(m, req)
		if err != nil {
			return
		}
		order := closed(r)
		all := append(slices.Clone(opened(r)), req.Done...)
		slices.Sort(all)
		if diff := cmp.Diff(all, slices.Sorted(slices.Values(order))); diff != "" {
			t.Fatalf("what is open and what is closed (-open +closed):\n%s", diff)
		}
		for _, s := range m.Map().Steps {
			at := slices.Index(order, s.Key)
			for _, k := range s.BackAfter {
				if at >= 0 && slices.Index(order, k) > at {
					t.Fatalf("%s goes back before %s: %v", s.Key, k, order)
				}
			}
		}
		silent := !slices.ContainsFunc(m.Map().Steps, func(s layout.Step) bool { return len(s.BackAfter) > 0 })
		if silent && len(req.Done) == 0 {
			slices.Reverse(order)
			if diff := cmp.Diff(opened(r), order); diff != "" {
				t.Fatalf("the map says nothing, and closing is not the reverse:\n%s", diff)
			}
		}
	})
}

// What a target takes alone is the cheapest of its ways, and at least one way
// is taken.
func TestAloneIsTheCheapestWay(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		r, err := access.Plan(m, drawRequest(t, m))
		if err != nil {
			return
		}
		for _, target := range r.Targets {
			least, taken := int64(-1), len(target.Ways) == 0
			for _, w := range target.Ways {
				taken = taken || w.Taken
				if w.Possible && (least < 0 || w.Alone < least) {
					least = w.Alone
				}
			}
			if !taken || len(target.Ways) > 0 && least != target.Alone {
				t.Fatalf("%s: alone %d, ways %+v", target.Component, target.Alone, target.Ways)
			}
		}
	})
}

// Wherever joints and hold points stand on a map: each joint of a step in the
// plan is drawn once; a check stands after its joint is drawn and before the
// step that covers it, or is left for the hand-over.
func TestHoldsComeInTime(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		bare := drawMap(t).Map()
		steps := len(bare.Steps)
		var joints []layout.Fastening
		for i := range rapid.IntRange(1, 5).Draw(t, "joints") {
			f := layout.Fastening{Key: layout.Key(fmt.Sprintf("j%d", i)), Step: stepKey(rapid.IntRange(0, steps-1).Draw(t, "at"))}
			if cover := stepKey(rapid.IntRange(0, steps-1).Draw(t, "cover")); cover != f.Step {
				f.HoldBefore = cover
			}
			joints = append(joints, f)
		}
		m := machine(t, bare.Steps, bare.Components, joints...)
		r, err := access.Plan(m, drawRequest(t, m))
		if err != nil {
			return
		}
		drawn, held := map[layout.Key]int{}, map[layout.Key]int{}
		for at, c := range r.Closing {
			for _, h := range c.Holds {
				if h.Before != c.Step || drawn[h.Fastening] == 0 {
					t.Fatalf("%s is checked before %s, at %d, and is not drawn yet", h.Fastening, c.Step, at)
				}
				held[h.Fastening]++
			}
			for _, j := range c.Joints {
				drawn[j.Fastening]++
			}
		}
		for _, h := range r.HoldsLeft {
			held[h.Fastening]++
		}
		for _, f := range joints {
			in := slices.Contains(closed(r), f.Step)
			if drawn[f.Key] != number(in) || held[f.Key] != number(in && f.HoldBefore != "") {
				t.Fatalf("%+v: drawn %d times, checked %d times", f, drawn[f.Key], held[f.Key])
			}
		}
	})
}

func number(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
