package spread

import (
	"cmp"
	"slices"

	"benchtag/internal/layout"
)

// next lists the looks that would tell something, the one that takes most
// doubt for its minutes first.
func (w *walker) next(components []Component) []Next {
	exposed := map[layout.Key]Component{}
	for _, c := range components {
		if c.doubt > 0 {
			exposed[c.Component] = c
		}
	}
	out := []Next{}
	for _, l := range w.m.Map().Looks {
		if w.looks[l.Key] != "" {
			continue
		}
		if n := w.weigh(l, exposed); n.weight > 0 {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b Next) int {
		return cmp.Compare(int64(b.weight)*max(a.Minutes, 1), int64(a.weight)*max(b.Minutes, 1))
	})
	return out
}

// weigh says what a look would tell. Coarse debris counts twice, for it does
// harm at once (common practice, no source).
func (w *walker) weigh(l layout.Look, exposed map[layout.Key]Component) Next {
	steps, minutes := w.opening(l)
	n := Next{Look: l.Key, Name: l.Name, Minutes: l.Minutes + minutes, Steps: steps, Caution: l.Caution, How: l.How, Sees: []layout.Key{}, Lowers: []Lowered{}}
	for _, at := range l.At {
		if c, ok := exposed[at]; ok {
			n.Sees = append(n.Sees, at)
			n.weight += c.weight(c.doubt)
		}
	}
	for _, s := range l.Speaks {
		c, ok := exposed[s.Component]
		if !ok || slices.Contains(l.At, s.Component) {
			continue
		}
		left := after(c.doubt, s.Percent)
		n.Lowers = append(n.Lowers, Lowered{Component: s.Component, From: c.doubt.percent(), To: left.percent()})
		n.weight += c.weight(c.doubt - left)
	}
	n.Weight = decimal(int64(n.weight), 6)
	n.PerHour = decimal(int64(n.weight)*60/max(n.Minutes, 1), 6)
	return n
}

func (c Component) weight(doubt ppm) ppm {
	if c.State == ExposedCoarse {
		return 2 * doubt
	}
	return doubt
}

// opening gives the steps a look still needs and their minutes, opening and
// closing: at each choice the alternative that adds least, so that the minutes
// are never too few by more than a cleverer choice would save.
func (w *walker) opening(l layout.Look) ([]layout.Key, int64) {
	set := w.need(map[layout.Key]bool{}, l.Needs)
	steps, minutes := []layout.Key{}, int64(0)
	for _, s := range w.m.Map().Steps {
		if set[s.Key] {
			steps = append(steps, s.Key)
			minutes += s.Minutes + s.MinutesBack
		}
	}
	return steps, minutes
}

// need adds to a set of steps those that needs ask for.
func (w *walker) need(set map[layout.Key]bool, needs [][]layout.Key) map[layout.Key]bool {
	for _, alternatives := range needs {
		var best map[layout.Key]bool
		least := int64(0)
		for _, key := range alternatives {
			with := w.withStep(set, key)
			if minutes := w.minutes(with); best == nil || minutes < least {
				best, least = with, minutes
			}
		}
		if best != nil {
			set = best
		}
	}
	return set
}

// withStep gives a set with a step and what the step needs.
func (w *walker) withStep(set map[layout.Key]bool, key layout.Key) map[layout.Key]bool {
	step, ok := w.m.Step(key)
	if !ok || w.steps[key] || set[key] {
		return set
	}
	with := map[layout.Key]bool{key: true}
	for k := range set {
		with[k] = true
	}
	return w.need(with, step.Needs)
}

func (w *walker) minutes(set map[layout.Key]bool) int64 {
	total := int64(0)
	for key := range set {
		s, _ := w.m.Step(key)
		total += s.Minutes + s.MinutesBack
	}
	return total
}
