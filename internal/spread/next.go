package spread

import (
	"cmp"
	"slices"

	"benchtag/internal/access"
	"benchtag/internal/layout"
)

// next lists the looks that would tell something, the one that takes most
// doubt for its minutes first.
func (w *walker) next(components []Component) []Next {
	out, looks := []Next{}, w.m.Map().Looks
	if len(looks) == 0 {
		return out
	}
	exposed := map[layout.Key]Component{}
	for _, c := range components {
		if c.doubt > 0 {
			exposed[c.Component] = c
		}
	}
	for _, l := range looks {
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
	steps, minutes, ok := w.opening(l)
	if !ok {
		return Next{}
	}
	n := Next{Look: l.Key, Name: l.Name, Minutes: l.Minutes + minutes, Steps: steps, Caution: l.Caution, How: l.How, Sees: []layout.Key{}, Lowers: []Lowered{}}
	for _, at := range l.At {
		if c, ok := exposed[at]; ok {
			n.Sees = append(n.Sees, at)
			if !isMagnet(*w.parts[w.place[at]]) { // that a plug is clean is worth nothing by itself
				n.weight += c.weight(c.doubt)
			}
		}
	}
	for _, s := range l.Speaks {
		c, ok := exposed[s.Component]
		if !ok || slices.Contains(l.At, s.Component) || !w.canTell(l, s.Component) {
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
// closing; ok is false where no way is left to it.
func (w *walker) opening(l layout.Look) (steps []layout.Key, minutes int64, ok bool) {
	done := []layout.Key{}
	for _, s := range w.m.Map().Steps {
		if w.steps[s.Key] {
			done = append(done, s.Key)
		}
	}
	r, err := access.Reach(w.m, l.Needs, access.Request{Done: done})
	if err != nil {
		return nil, 0, false // no way left to it
	}
	return append([]layout.Key{}, r.Steps...), r.Open + r.Back, true
}
