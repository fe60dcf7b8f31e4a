package access

import (
	"cmp"
	"slices"

	"benchtag/internal/layout"
)

// clause is something that must be met by one of several sets of steps. Each
// set is closed: it holds all that its steps cannot do without.
type clause []set

// graph is the steps that may still be done, numbered in the order of their
// keys, and what they need of each other.
type graph struct {
	steps    []layout.Step
	at       map[layout.Key]int
	done     map[layout.Key]bool
	weights  []int64   // minutes to open and close, then one a step, see weigh
	needs    [][][]int // by step: lists of alternatives, without those done
	possible set
	forced   []set // by step: itself and what it cannot do without
	choices  [][]clause
	// cyclic says that steps may need each other in a circle, so that a set
	// that has all it needs may still have no order.
	cyclic bool
}

// newGraph numbers the steps that are not done; those that allowed refuses
// are not possible.
func newGraph(all []layout.Step, done map[layout.Key]bool, allowed func(layout.Key) bool) *graph {
	g := &graph{at: map[layout.Key]int{}, done: done}
	for _, s := range all {
		if !done[s.Key] {
			g.steps = append(g.steps, s)
		}
	}
	slices.SortFunc(g.steps, func(a, b layout.Step) int { return cmp.Compare(a.Key, b.Key) })
	for i, s := range g.steps {
		g.at[s.Key] = i
	}
	g.weigh()
	g.link()
	g.possible = g.doable(func(i int) bool { return allowed(g.steps[i].Key) })
	g.force()
	g.open()
	g.cyclic = !g.layered()
	return g
}

// weigh sets the weights so that minutes come first, and among sets of equal
// minutes the one with fewer steps is lighter.
func (g *graph) weigh() {
	scale := int64(len(g.steps) + 1)
	g.weights = make([]int64, len(g.steps))
	for i, s := range g.steps {
		g.weights[i] = (s.Minutes+s.MinutesBack)*scale + 1
	}
}

// link turns needs into numbers; a need that is met already falls away.
func (g *graph) link() {
	g.needs = make([][][]int, len(g.steps))
	for i, s := range g.steps {
		for _, alternatives := range s.Needs {
			if slices.ContainsFunc(alternatives, func(k layout.Key) bool { return g.done[k] }) {
				continue
			}
			g.needs[i] = append(g.needs[i], g.numbers(alternatives))
		}
	}
}

// numbers gives the numbers of steps, in ascending order.
func (g *graph) numbers(keys []layout.Key) []int {
	var out []int
	for _, k := range keys {
		i, known := g.at[k]
		if known {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// doable gives the steps that can be done in some order with those allowed.
func (g *graph) doable(allowed func(int) bool) set {
	can := newSet(len(g.steps))
	for grown := true; grown; {
		grown = false
		for i := range g.steps {
			if !can.has(i) && allowed(i) && g.met(i, can) {
				can.put(i)
				grown = true
			}
		}
	}
	return can
}

// met reports whether each need of step i has an alternative in have.
func (g *graph) met(i int, have set) bool {
	for _, alternatives := range g.needs[i] {
		if !slices.ContainsFunc(alternatives, have.has) {
			return false
		}
	}
	return true
}

// force finds, for each step, what every set that holds it must hold: itself,
// and of each need what all its alternatives have in common. It begins with
// the steps themselves and adds until nothing is new, so each stage is true.
func (g *graph) force() {
	g.forced = make([]set, len(g.steps))
	for i := range g.forced {
		g.forced[i] = newSet(len(g.steps))
		g.forced[i].put(i)
	}
	for grown := true; grown; {
		grown = false
		for i := range g.steps {
			for _, alternatives := range g.needs[i] {
				common := g.common(alternatives)
				if common != nil && !common.within(g.forced[i]) {
					g.forced[i].add(common)
					grown = true
				}
			}
		}
	}
}

// common gives what all possible alternatives force; nil if none is possible.
func (g *graph) common(alternatives []int) set {
	var common set
	for _, a := range alternatives {
		switch {
		case !g.possible.has(a):
		case common == nil:
			common = g.forced[a].clone()
		default:
			common.keep(g.forced[a])
		}
	}
	return common
}

// open keeps, of each step's needs, those that leave a choice.
func (g *graph) open() {
	g.choices = make([][]clause, len(g.steps))
	for i := range g.steps {
		for _, alternatives := range g.needs[i] {
			var c clause
			for _, a := range alternatives {
				if g.possible.has(a) {
					c = append(c, g.forced[a])
				}
			}
			c = least(c, g.forced[i])
			if len(c) > 1 {
				g.choices[i] = append(g.choices[i], c)
			}
		}
	}
}

// least leaves out of a clause each set that holds another one, steps in have
// apart: whoever does it has done the other as well. A clause met by have
// keeps that one set.
func least(c clause, have set) clause {
	var kept clause
	for i, option := range c {
		worse := slices.ContainsFunc(kept, func(k set) bool { return k.withinBut(option, have) })
		for _, later := range c[i+1:] {
			worse = worse || later.withinBut(option, have) && !option.withinBut(later, have)
		}
		if !worse {
			kept = append(kept, option)
		}
	}
	return kept
}

// layered reports whether the possible steps stand in an order in which
// everything a step might need comes before it.
func (g *graph) layered() bool {
	placed := newSet(len(g.steps))
	for grown := true; grown; {
		grown = false
		for _, i := range g.possible.members() {
			if !placed.has(i) && g.allBefore(i, placed) {
				placed.put(i)
				grown = true
			}
		}
	}
	return g.possible.within(placed)
}

func (g *graph) allBefore(i int, placed set) bool {
	for _, alternatives := range g.needs[i] {
		for _, a := range alternatives {
			if g.possible.has(a) && !placed.has(a) {
				return false
			}
		}
	}
	return true
}

// reach gives the sets of steps that each make a component reachable, as a
// clause; none if no way is possible, one empty set if it is in sight.
func (g *graph) reach(ways [][]layout.Key) clause {
	if len(ways) == 0 {
		return clause{newSet(len(g.steps))}
	}
	var c clause
	for _, way := range ways {
		steps := newSet(len(g.steps))
		can := true
		for _, k := range way {
			i, known := g.at[k]
			if known {
				can = can && g.possible.has(i)
				steps.add(g.forced[i])
			}
		}
		if can {
			c = append(c, steps)
		}
	}
	slices.SortStableFunc(c, func(a, b set) int { return slices.Compare(a.members(), b.members()) })
	return least(c, newSet(len(g.steps)))
}
