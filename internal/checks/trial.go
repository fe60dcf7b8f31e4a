package checks

import "slices"

// byTrial takes at each turn the run of checks with the greatest ratio of
// what it finds to what it costs, then moves single checks about as long as
// that helps.
func (m *model) byTrial() []int {
	n := m.numbers()
	return n.improve(n.greedy())
}

// trial is an order under way.
type trial struct {
	n      numbers
	left   []int
	found  []bool
	opened uint64
}

func (n numbers) greedy() []int {
	t := trial{n: n, found: make([]bool, len(n.p))}
	for i := range n.cost {
		t.left = append(t.left, i)
	}
	var order []int
	for len(t.left) > 0 {
		run := t.bestRun()
		for _, i := range run {
			t.take(i)
		}
		order = append(order, run...)
	}
	return order
}

// take does a check.
func (t *trial) take(i int) {
	t.opened |= t.n.opens[i]
	for _, c := range t.n.finds[i] {
		t.found[c] = true
	}
	t.left = slices.DeleteFunc(t.left, func(other int) bool { return other == i })
}

// bestRun gives the run with the greatest ratio: for each check left, what it
// opens, and then one check after the other of those that need no more.
func (t *trial) bestRun() []int {
	var best []int
	bestRatio := -1.0
	tried := map[uint64]bool{}
	for _, lead := range t.left {
		opened := t.opened | t.n.opens[lead]
		if tried[opened] {
			continue
		}
		tried[opened] = true
		run, ratio := t.runBehind(opened)
		if ratio > bestRatio*(1+same) {
			best, bestRatio = run, ratio
		}
	}
	return best
}

// runBehind gives the best beginning of the checks that need no more than
// opened, by ratio, and its ratio with the openings it takes.
func (t *trial) runBehind(opened uint64) ([]int, float64) {
	cost := 0.0
	for i := range t.n.opening {
		if opened>>i&1 == 1 && t.opened>>i&1 == 0 {
			cost += t.n.opening[i]
		}
	}
	inner := trial{n: t.n, found: slices.Clone(t.found), opened: opened}
	for _, i := range t.left {
		if t.n.opens[i]&^opened == 0 {
			inner.left = append(inner.left, i)
		}
	}
	var run, best []int
	p, bestRatio := 0.0, -1.0
	for len(inner.left) > 0 {
		i := inner.next()
		p, cost = p+inner.finds(i), cost+t.n.cost[i]
		inner.take(i)
		run = append(run, i)
		ratio := over(p, cost)
		if ratio > bestRatio*(1+same) {
			best, bestRatio = slices.Clone(run), ratio
		}
	}
	return best, bestRatio
}

// next gives the check left with the greatest ratio, openings apart.
func (t *trial) next() int {
	best, bestRatio := t.left[0], -1.0
	for _, i := range t.left {
		ratio := over(t.finds(i), t.n.cost[i])
		if ratio > bestRatio*(1+same) {
			best, bestRatio = i, ratio
		}
	}
	return best
}

// finds is the probability that a check finds what none before it has.
func (t *trial) finds(i int) float64 {
	sum := 0.0
	for _, c := range t.n.finds[i] {
		if !t.found[c] {
			sum += t.n.p[c]
		}
	}
	return sum
}

// over is probability over cost; what costs next to nothing comes first.
func over(p, cost float64) float64 { return p / max(cost, 1e-9) }

// maxPasses bounds the improvement.
const maxPasses = 8

// improve moves single checks to other places as long as that makes the order
// cheaper.
func (n numbers) improve(order []int) []int {
	best := n.expected(order)
	for range maxPasses {
		better := false
		for from := range order {
			for to := range order {
				moved := move(order, from, to)
				cost := n.expected(moved)
				if less(cost, best) {
					order, best, better = moved, cost, true
				}
			}
		}
		if !better {
			break
		}
	}
	return order
}

// move gives the order with the check at one place put at another.
func move(order []int, from, to int) []int {
	i := order[from]
	rest := slices.Delete(slices.Clone(order), from, from+1)
	return slices.Insert(rest, to, i)
}
