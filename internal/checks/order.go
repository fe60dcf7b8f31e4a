package checks

import (
	"fmt"
	"math/big"
	"slices"

	"benchtag/internal/fault"
)

// Order puts the checks of a problem in the order of least expected cost and
// says how it was found; only ByTrial is not proven. Among equals the order
// of the problem decides. Faults: checks.checks_missing, checks.key_twice,
// checks.p_outside, checks.cost_negative, checks.cause_unknown,
// checks.opening_unknown, checks.opening_ring.
func Order(p Problem) (Sequence, Method, error) {
	m, err := read(p)
	if err != nil {
		return Sequence{}, "", err
	}
	order, method := m.order()
	return m.evaluate(order), method, nil
}

func (m *model) order() ([]int, Method) {
	switch {
	case m.apart():
		return m.byRatio(), ByRatio
	case len(m.tasks) <= maxCompared:
		return m.allOrders(), AllOrders
	}
	return m.byTrial(), ByTrial
}

// Evaluate reckons what a given order of the checks, by key, is expected to
// cost. It must name each check once. Faults: those of Order, and
// checks.order_incomplete.
func Evaluate(p Problem, keys []string) (Sequence, error) {
	m, err := read(p)
	if err != nil {
		return Sequence{}, err
	}
	var order []int
	for _, k := range keys {
		i := slices.IndexFunc(m.tasks, func(t task) bool { return t.key == k })
		if i >= 0 && !slices.Contains(order, i) {
			order = append(order, i)
		}
	}
	if len(order) != len(m.tasks) || len(keys) != len(order) {
		return Sequence{}, fault.New(fault.Meaning, "checks.order_incomplete", fmt.Sprintf("An order names each of the %d checks once.", len(m.tasks)))
	}
	return m.evaluate(order), nil
}

// apart reports whether no two checks find one cause and each check needs one
// chain of openings, so that the ratio rule is exact.
func (m *model) apart() bool {
	taken := make([]bool, len(m.causes))
	for _, t := range m.tasks {
		for _, c := range t.finds {
			if taken[c] {
				return false
			}
			taken[c] = true
		}
		if len(t.opens) > 0 && len(m.around(t.opens[len(t.opens)-1])) != len(t.opens) {
			return false
		}
	}
	return true
}

// block is a run of jobs that stay together: openings, then checks.
type block struct {
	jobs   []int // openings by number, checks by number after all openings
	after  int   // the job it must follow; -1 for none
	p      *big.Rat
	cost   *big.Rat
	merged bool
}

// beats reports whether a's probability over cost is greater than b's. What
// costs nothing comes first.
func (a block) beats(b block) bool {
	if a.cost.Sign() == 0 || b.cost.Sign() == 0 {
		return a.cost.Sign() == 0 && b.cost.Sign() != 0
	}
	return new(big.Rat).Mul(a.p, b.cost).Cmp(new(big.Rat).Mul(b.p, a.cost)) > 0
}

// byRatio takes again and again the block with the greatest ratio and puts it
// right behind what it must follow.
func (m *model) byRatio() []int {
	blocks := m.blocks()
	var order []int
	for range blocks {
		best := -1
		for i, b := range blocks {
			if !b.merged && (best < 0 || b.beats(blocks[best])) {
				best = i
			}
		}
		blocks[best].merged = true
		into := slices.IndexFunc(blocks, func(b block) bool { return !b.merged && slices.Contains(b.jobs, blocks[best].after) })
		if into < 0 {
			order = append(order, blocks[best].jobs...)
			continue
		}
		blocks[into].jobs = append(blocks[into].jobs, blocks[best].jobs...)
		blocks[into].p.Add(blocks[into].p, blocks[best].p)
		blocks[into].cost.Add(blocks[into].cost, blocks[best].cost)
	}
	return m.checksOf(order)
}

// blocks makes a block of each opening and each check.
func (m *model) blocks() []block {
	var out []block
	for i, o := range m.openings {
		out = append(out, block{jobs: []int{i}, after: m.inside[i], p: new(big.Rat), cost: new(big.Rat).Set(o.Cost)})
	}
	for i, t := range m.tasks {
		b := block{jobs: []int{len(m.openings) + i}, after: -1, p: new(big.Rat), cost: new(big.Rat).Set(t.cost)}
		for _, c := range t.finds {
			b.p.Add(b.p, m.causes[c].P)
		}
		if len(t.opens) > 0 {
			b.after = t.opens[len(t.opens)-1]
		}
		out = append(out, b)
	}
	return out
}

// checksOf leaves the openings out of an order of jobs.
func (m *model) checksOf(jobs []int) []int {
	var out []int
	for _, j := range jobs {
		if j >= len(m.openings) {
			out = append(out, j-len(m.openings))
		}
	}
	return out
}
