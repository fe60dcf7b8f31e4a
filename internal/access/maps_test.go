package access_test

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// fataler is what tests, benchmarks and properties have in common.
type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// machine makes a sound map of steps, components and fastenings.
func machine(t fataler, steps []layout.Step, parts []layout.Component, joints ...layout.Fastening) *layout.Compiled {
	t.Helper()
	for i := range steps {
		steps[i].Name = name(steps[i].Name, steps[i].Key)
		steps[i].Needs, steps[i].BackAfter = some(steps[i].Needs), some(steps[i].BackAfter)
	}
	for i := range parts {
		parts[i].Name = name(parts[i].Name, parts[i].Key)
		parts[i].Assembly, parts[i].Kind, parts[i].Safety = "engine", "big_end", layout.Ordinary
		parts[i].Look, parts[i].Renew = some(parts[i].Look), some(parts[i].Renew)
	}
	for i := range joints {
		joints[i].Name = name(joints[i].Name, joints[i].Key)
		joints[i].Condition, joints[i].Safety = layout.DryThread, layout.Major
		if joints[i].Component == "" {
			joints[i].Component = parts[0].Key
		}
	}
	m, err := layout.Compile(layout.Map{
		Format: layout.MapFormat, Code: "bench", Revision: 1, Title: "A bench of an engine", Example: true, Notice: "Example figures, not for service.",
		Assemblies:   []layout.Assembly{{Key: "engine", Name: "Engine"}},
		Compartments: []layout.Compartment{{Key: "sump", Name: "Sump", Medium: layout.Oil}},
		Components:   parts, Steps: steps, Fastenings: some(joints),
		Groups: []layout.Group{}, Circuits: []layout.Circuit{}, Points: []layout.Point{}, Looks: []layout.Look{},
	})
	if err != nil {
		t.Fatalf("the map of the test is not sound: %v", err)
	}
	return m
}

func name(given string, key layout.Key) string {
	if given == "" {
		return "The " + string(key)
	}
	return given
}

func some[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

func step(key layout.Key, minutes, back int64, needs ...[]layout.Key) layout.Step {
	return layout.Step{Key: key, Minutes: minutes, MinutesBack: back, Needs: needs}
}

func part(key layout.Key, ways ...[]layout.Key) layout.Component {
	return layout.Component{Key: key, Look: ways, Renew: ways, RenewMinutes: 5}
}

func keys(k ...layout.Key) []layout.Key { return k }

func renew(k ...layout.Key) []access.Target {
	out := make([]access.Target, len(k))
	for i := range k {
		out[i] = access.Target{Component: k[i], Do: access.Renew}
	}
	return out
}

// plan is Plan on a request that must be answered.
func plan(t fataler, m *layout.Compiled, req access.Request) access.Result {
	t.Helper()
	r, err := access.Plan(m, req)
	if err != nil {
		t.Fatalf("planning %+v: %v", req, err)
	}
	return r
}

func opened(r access.Result) []layout.Key {
	var out []layout.Key
	for _, o := range r.Opening {
		out = append(out, o.Step)
	}
	return out
}

func closed(r access.Result) []layout.Key {
	var out []layout.Key
	for _, c := range r.Closing {
		out = append(out, c.Step)
	}
	return out
}

func minutes(r access.Result) int64 { return r.Minutes.Open + r.Minutes.Back }

// drawMap draws a small map in which each step may need those listed before
// it, with alternatives, and each component has up to three ways.
func drawMap(t *rapid.T) *layout.Compiled { return drawMapOf(t, false) }

// drawMapOf draws a map; with rings, steps may need each other in a circle, as
// long as each has an alternative listed before it.
func drawMapOf(t *rapid.T, rings bool) *layout.Compiled {
	n := rapid.IntRange(1, 9).Draw(t, "steps")
	steps := make([]layout.Step, n)
	for i := range steps {
		steps[i] = step(stepKey(i), rapid.Int64Range(1, 9).Draw(t, "minutes"), rapid.Int64Range(0, 9).Draw(t, "back"))
		if i > 0 {
			steps[i].Needs = rapid.SliceOfN(drawSteps(i, 1, 3), 0, 2).Draw(t, "needs")
			steps[i].BackAfter = drawSteps(i, 0, 2).Draw(t, "back after")
		}
		for j := range steps[i].Needs {
			if rings {
				steps[i].Needs[j] = append(steps[i].Needs[j], without(steps[i].Needs[j], stepKey(i), drawSteps(n, 0, 3).Draw(t, "rings"))...)
			}
		}
	}
	// Listed in another order than they are opened in.
	steps = rapid.Permutation(steps).Draw(t, "listing")
	parts := make([]layout.Component, rapid.IntRange(1, 5).Draw(t, "parts"))
	for i := range parts {
		parts[i] = part(layout.Key(fmt.Sprintf("p%d", i)), rapid.SliceOfN(drawSteps(n, 1, 2), 0, 3).Draw(t, "ways")...)
	}
	return machine(t, steps, parts)
}

// without leaves out of more what is in have, and a step itself.
func without(have []layout.Key, self layout.Key, more []layout.Key) []layout.Key {
	return slices.DeleteFunc(more, func(k layout.Key) bool { return k == self || slices.Contains(have, k) })
}

func stepKey(i int) layout.Key { return layout.Key(fmt.Sprintf("s%d", i)) }

func drawSteps(below, least, most int) *rapid.Generator[[]layout.Key] {
	return rapid.Map(rapid.SliceOfNDistinct(rapid.IntRange(0, below-1), min(least, below), min(most, below), rapid.ID), func(n []int) []layout.Key {
		out := make([]layout.Key, len(n))
		for i := range n {
			out[i] = stepKey(n[i])
		}
		return out
	})
}

func drawTargets(t *rapid.T, m *layout.Compiled, label string) []access.Target {
	all := m.Map().Components
	n := rapid.SliceOfNDistinct(rapid.IntRange(0, len(all)-1), 1, len(all), rapid.ID).Draw(t, label)
	out := make([]access.Target, len(n))
	for i := range n {
		out[i] = access.Target{Component: all[n[i]].Key, Do: rapid.SampledFrom(access.Dos()).Draw(t, "do")}
	}
	return out
}

// bruteForce tries every set of steps and gives the least minutes with which
// all targets are reached; -1 if none reaches them.
func bruteForce(m *layout.Compiled, req access.Request) int64 {
	steps := m.Map().Steps
	best := int64(-1)
	for mask := range 1 << len(steps) {
		have := map[layout.Key]bool{}
		var cost int64
		for i, s := range steps {
			if mask>>i&1 == 1 {
				have[s.Key] = true
				cost += s.Minutes + s.MinutesBack
			}
		}
		if (best < 0 || cost < best) && suffices(m, req, have) {
			best = cost
		}
	}
	return best
}

// suffices reports whether the steps can be done in some order and reach
// every target.
func suffices(m *layout.Compiled, req access.Request, have map[layout.Key]bool) bool {
	reached := map[layout.Key]bool{}
	for _, k := range req.Done {
		reached[k] = true
		if have[k] {
			return false
		}
	}
	for _, k := range req.NotPossible {
		if have[k] {
			return false
		}
	}
	for range m.Map().Steps {
		for _, s := range m.Map().Steps {
			if have[s.Key] && met(s, reached) {
				reached[s.Key] = true
			}
		}
	}
	for k := range have {
		if !reached[k] {
			return false
		}
	}
	for _, t := range req.Targets {
		if !seen(m, t, reached) {
			return false
		}
	}
	return true
}

func met(s layout.Step, reached map[layout.Key]bool) bool {
	for _, alternatives := range s.Needs {
		if !slices.ContainsFunc(alternatives, func(k layout.Key) bool { return reached[k] }) {
			return false
		}
	}
	return true
}

func seen(m *layout.Compiled, t access.Target, reached map[layout.Key]bool) bool {
	for _, c := range m.Map().Components {
		if c.Key != t.Component {
			continue
		}
		ways := c.Look
		if t.Do == access.Renew {
			ways = c.Renew
		}
		return len(ways) == 0 || slices.ContainsFunc(ways, func(way []layout.Key) bool {
			return !slices.ContainsFunc(way, func(k layout.Key) bool { return !reached[k] })
		})
	}
	return false
}

var _ fataler = (*testing.T)(nil)
