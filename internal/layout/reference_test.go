package layout_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/layout"
)

// drawSteps makes a few steps with needs and closings at random, dangling keys
// among them.
func drawSteps(t *rapid.T) []layout.Step {
	n := rapid.IntRange(1, 6).Draw(t, "steps")
	key := func(i int) layout.Key { return layout.Key(fmt.Sprintf("s%d", i)) }
	some := rapid.Custom(func(t *rapid.T) layout.Key { return key(rapid.IntRange(0, n).Draw(t, "which")) })
	steps := make([]layout.Step, n)
	for i := range steps {
		steps[i] = layout.Step{
			Key: key(i), Name: "step", Minutes: 1,
			Needs:     rapid.SliceOfN(rapid.SliceOfNDistinct(some, 1, 2, rapid.ID[layout.Key]), 0, 2).Draw(t, "needs"),
			BackAfter: rapid.SliceOfNDistinct(some, 0, 2, rapid.ID[layout.Key]).Draw(t, "back"),
		}
	}
	return steps
}

func withSteps(t testing.TB, steps []layout.Step) layout.Map {
	m := example(t)
	m.Steps = append(m.Steps, steps...)
	return m
}

func at(faults []layout.Fault, code layout.Code) map[layout.Key]bool {
	keys := map[layout.Key]bool{}
	for _, f := range faults {
		if f.Code == code {
			keys[f.Key] = true
		}
	}
	return keys
}

// canBeDone tries every order of work: the definition of a step that is
// possible. A key that stands for nothing is no obstacle; it is a fault of its
// own.
func canBeDone(steps []layout.Step, want layout.Key) bool {
	known := func(k layout.Key) bool {
		return slices.ContainsFunc(steps, func(s layout.Step) bool { return s.Key == k })
	}
	var try func(done []layout.Key) bool
	try = func(done []layout.Key) bool {
		if slices.Contains(done, want) {
			return true
		}
		for _, s := range steps {
			ready := !slices.Contains(done, s.Key)
			for _, alternatives := range s.Needs {
				one := false
				for _, a := range alternatives {
					one = one || slices.Contains(done, a) || !known(a)
				}
				ready = ready && one
			}
			if ready && try(append(slices.Clone(done), s.Key)) {
				return true
			}
		}
		return false
	}
	return try(nil)
}

// comesBack follows every path of closings from a step, and reports whether
// one returns to it.
func comesBack(steps []layout.Step, start layout.Key) bool {
	var walk func(from layout.Key, path []layout.Key) bool
	walk = func(from layout.Key, path []layout.Key) bool {
		for _, s := range steps {
			if s.Key != from {
				continue
			}
			for _, next := range s.BackAfter {
				if next == start || !slices.Contains(path, next) && walk(next, append(slices.Clone(path), next)) {
					return true
				}
			}
		}
		return false
	}
	return walk(start, nil)
}

func TestStepsAgainstReference(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		steps := drawSteps(rt)
		faults := layout.Check(withSteps(t, steps))
		never, circle := at(faults, layout.StepNeverPossible), at(faults, layout.BackInCircle)
		dangling := 0
		for _, s := range steps {
			if can := canBeDone(steps, s.Key); can == never[s.Key] {
				rt.Fatalf("%s can be done: %v; reported as never: %v\n%v", s.Key, can, never[s.Key], steps)
			}
			if circle[s.Key] != comesBack(steps, s.Key) {
				rt.Fatalf("%s in a circle: reported %v\n%v", s.Key, circle[s.Key], steps)
			}
			for _, k := range append(slices.Concat(s.Needs...), s.BackAfter...) {
				if !slices.ContainsFunc(steps, func(o layout.Step) bool { return o.Key == k }) {
					dangling++
				}
			}
		}
		if got := count(faults, layout.StepDangling); got != dangling {
			rt.Fatalf("%d dangling keys reported, there are %d", got, dangling)
		}
	})
}

func count(faults []layout.Fault, code layout.Code) (n int) {
	for _, f := range faults {
		if f.Code == code {
			n++
		}
	}
	return n
}

// TestRenamingBreaksWhatNamesIt takes one key away and holds that every place
// that names it, and no other, is reported: found by text search in the
// document.
func TestRenamingBreaksWhatNamesIt(t *testing.T) {
	t.Parallel()
	text := string(read(t, "example.map.json"))
	for _, tt := range []struct {
		key   string
		codes []layout.Code
	}{
		{"sump", []layout.Code{layout.CompartDangling, layout.NodeDangling}},
		{"chain_tunnel", []layout.Code{layout.CompartDangling, layout.NodeDangling}},
		{"main_bearings", []layout.Code{layout.ComponentDangling, layout.NodeDangling}},
		{"oil_pump", []layout.Code{layout.ComponentDangling, layout.NodeDangling}},
		{"timing_cover", []layout.Code{layout.StepDangling}},
		{"drain_oil", []layout.Code{layout.StepDangling}},
		{"bottom_end", []layout.Code{layout.AssemblyDangling}},
	} {
		gone := strings.Replace(text, `{"key": "`+tt.key+`"`, `{"key": "renamed"`, 1)
		named := strings.Count(gone, `"`+tt.key+`"`) - strings.Count(gone, `"kind": "`+tt.key+`"`) - strings.Count(gone, `"name": "`+tt.key+`"`)
		m, err := layout.ParseMap([]byte(gone))
		if err != nil || gone == text {
			t.Fatal(tt.key, err)
		}
		got := 0
		for _, f := range layout.Check(m) {
			if !slices.Contains(tt.codes, f.Code) {
				t.Errorf("%s: %+v", tt.key, f)
			}
			got++
		}
		if got != named || named == 0 {
			t.Errorf("%s is named in %d places, %d are reported", tt.key, named, got)
		}
	}
}

// TestPointersLeadToThePlace follows every pointer of the broken maps into the
// document.
func TestPointersLeadToThePlace(t *testing.T) {
	t.Parallel()
	for _, b := range broken {
		m := example(t)
		b.damage(&m)
		for _, f := range layout.Check(m) {
			if err := follow(m, f.Pointer); err != nil {
				t.Errorf("%s: %v", b.name, err)
			}
		}
	}
}
