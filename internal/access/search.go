package access

import (
	"cmp"
	"slices"
)

// maxNodes bounds a search. A plan of forty targets in a map of three hundred
// components takes a few hundred.
const maxNodes = 20_000

// search looks for the lightest set of steps that meets all clauses, by
// branch and bound (Land and Doig 1960): it tries the alternatives of one
// clause after the other and gives a branch up when what it has, and the
// least that what is open must add, weigh no less than the best set found.
type search struct {
	g      *graph
	nodes  int // visited
	best   set
	weight int64 // of best
}

// solve gives the lightest set of steps that meets the clauses, and whether
// that is proven. Each clause must have at least one set.
func (g *graph) solve(clauses []clause) (set, bool) {
	chosen := newSet(len(g.steps))
	open := g.settle(chosen, clauses)
	if g.cyclic {
		s := search{g: g, best: g.anyhow(chosen, open)}
		s.weight = s.best.weigh(g.weights, newSet(len(g.steps)))
		s.visit(chosen, chosen.weigh(g.weights, newSet(len(g.steps))), open)
		return s.best, s.nodes <= maxNodes
	}
	nodes := 0
	for _, part := range g.parts(chosen, open) {
		s := search{g: g, nodes: nodes}
		s.visit(chosen, 0, part)
		chosen.add(s.best)
		nodes = s.nodes
	}
	return chosen, nodes <= maxNodes
}

// settle adds to chosen all that leaves no choice and gives the clauses that
// do.
func (g *graph) settle(chosen set, clauses []clause) []clause {
	for {
		before := chosen.clone()
		var open []clause
		for _, c := range clauses {
			c = least(c, chosen)
			if len(c) == 1 {
				chosen.add(c[0])
			} else {
				open = append(open, c)
			}
		}
		if chosen.equal(before) {
			return open
		}
		clauses = append(open, g.opened(before, chosen)...)
	}
}

// opened gives the choices of the steps that are in after and not in before.
func (g *graph) opened(before, after set) []clause {
	var out []clause
	for _, i := range after.members() {
		if !before.has(i) {
			out = append(out, g.choices[i]...)
		}
	}
	return out
}

// parts divides clauses into groups that have no step in common whatever is
// chosen, so that each can be solved by itself.
func (g *graph) parts(chosen set, open []clause) [][]clause {
	var parts [][]clause
	var spans []set
	for _, c := range open {
		span := g.span(chosen, c)
		part := []clause{c}
		for i := 0; i < len(parts); {
			if !spans[i].meets(span, chosen) {
				i++
				continue
			}
			span.add(spans[i])
			part = append(parts[i], part...)
			parts, spans = slices.Delete(parts, i, i+1), slices.Delete(spans, i, i+1)
		}
		parts, spans = append(parts, part), append(spans, span)
	}
	return parts
}

// span gives all steps outside chosen that meeting a clause may bring in.
func (g *graph) span(chosen set, c clause) set {
	span := newSet(len(g.steps))
	for _, option := range c {
		span.add(option)
	}
	for {
		before := span.clone()
		for _, i := range before.members() {
			if chosen.has(i) {
				continue
			}
			for _, choice := range g.choices[i] {
				for _, option := range choice {
					span.add(option)
				}
			}
		}
		if span.equal(before) {
			return span
		}
	}
}

// visit explores what can be made of chosen, which weighs weight, with the
// clauses still open.
func (s *search) visit(chosen set, weight int64, open []clause) {
	s.nodes++
	if s.best != nil && s.nodes > maxNodes {
		return
	}
	open, bound := s.bound(chosen, open)
	if s.best != nil && weight+bound >= s.weight {
		return
	}
	if len(open) == 0 && s.g.cyclic {
		open = s.g.escapes(chosen)
	}
	if len(open) == 0 {
		s.best, s.weight = chosen, weight
		return
	}
	i := narrowest(open)
	rest := slices.Delete(slices.Clone(open), i, i+1)
	for _, option := range s.cheapestFirst(open[i], chosen) {
		more := chosen.clone()
		more.add(option)
		s.visit(more, weight+option.weigh(s.g.weights, chosen), append(slices.Clip(rest), s.g.opened(chosen, more)...))
	}
}

// bound drops the clauses that are met and gives the least weight that the
// others must add: of clauses without a step in common, each its lightest
// set; or the heaviest of these alone, if that is more.
func (s *search) bound(chosen set, clauses []clause) ([]clause, int64) {
	var open []clause
	var sum, most int64
	used := chosen.clone()
	for _, c := range clauses {
		c = least(c, chosen)
		if c[0].within(chosen) {
			continue
		}
		open = append(open, c)
		lightest, apart := s.lightest(c, chosen, used)
		most = max(most, lightest)
		if apart {
			sum += lightest
			for _, option := range c {
				used.add(option)
			}
		}
	}
	return open, max(sum, most)
}

// lightest gives the weight of a clause's lightest set beyond chosen, and
// whether the clause has nothing in used besides chosen.
func (s *search) lightest(c clause, chosen, used set) (int64, bool) {
	weight, apart := c[0].weigh(s.g.weights, chosen), true
	for _, option := range c {
		weight = min(weight, option.weigh(s.g.weights, chosen))
		apart = apart && !option.meets(used, chosen)
	}
	return weight, apart
}

// narrowest gives the first clause with the fewest sets.
func narrowest(open []clause) int {
	best := 0
	for i, c := range open {
		if len(c) < len(open[best]) {
			best = i
		}
	}
	return best
}

// cheapestFirst sorts the sets of a clause by what they add; among equals
// they stay in the order of their keys.
func (s *search) cheapestFirst(c clause, chosen set) clause {
	sorted := slices.Clone(c)
	slices.SortStableFunc(sorted, func(a, b set) int {
		return cmp.Compare(a.weigh(s.g.weights, chosen), b.weigh(s.g.weights, chosen))
	})
	return sorted
}

// escapes is for steps in chosen that need each other in a circle: the steps
// outside, of which at least one must come in to break it, as a clause. None
// if chosen has an order.
func (g *graph) escapes(chosen set) []clause {
	ordered := g.doable(chosen.has)
	out := newSet(len(g.steps))
	for _, i := range chosen.members() {
		if ordered.has(i) {
			continue
		}
		for _, alternatives := range g.needs[i] {
			if slices.ContainsFunc(alternatives, ordered.has) {
				continue
			}
			for _, a := range alternatives {
				if g.possible.has(a) && !chosen.has(a) {
					out.put(a)
				}
			}
		}
	}
	if chosen.within(ordered) {
		return nil
	}
	c := clause{}
	for _, i := range out.members() {
		c = append(c, g.forced[i])
	}
	return []clause{c}
}

// anyhow gives a set that meets the clauses and has an order, without
// regard to its weight: of each need the alternative that can be done soonest.
func (g *graph) anyhow(chosen set, open []clause) set {
	rank := g.ranks()
	out := chosen.clone()
	for _, c := range open {
		out.add(c[0])
	}
	for {
		before := out.clone()
		for _, i := range before.members() {
			for _, alternatives := range g.needs[i] {
				out.put(slices.MinFunc(alternatives, func(a, b int) int { return cmp.Compare(rank[a], rank[b]) }))
			}
		}
		if out.equal(before) {
			return out
		}
	}
}

// ranks gives the round in which each step becomes possible; those that are
// not come last.
func (g *graph) ranks() []int {
	rank := make([]int, len(g.steps))
	can := newSet(len(g.steps))
	for round := 0; round <= len(g.steps); round++ {
		next := can.clone()
		for i := range g.steps {
			if can.has(i) {
				continue
			}
			rank[i] = round
			if g.possible.has(i) && g.met(i, can) {
				next.put(i)
			}
		}
		can = next
	}
	return rank
}
