package checks

import "math/bits"

// numbers is a model in floating point, for comparing orders.
type numbers struct {
	p, cost, opening []float64
	finds            [][]int
	opens            []uint64 // a bit for each opening
	rest             float64
}

func (m *model) numbers() numbers {
	n := numbers{}
	n.rest, _ = m.rest.Float64()
	for _, c := range m.causes {
		f, _ := c.P.Float64()
		n.p = append(n.p, f)
	}
	for _, o := range m.openings {
		f, _ := o.Cost.Float64()
		n.opening = append(n.opening, f)
	}
	for _, t := range m.tasks {
		f, _ := t.cost.Float64()
		var opens uint64
		for _, o := range t.opens {
			opens |= 1 << o
		}
		n.cost, n.finds, n.opens = append(n.cost, f), append(n.finds, t.finds), append(n.opens, opens)
	}
	return n
}

// pay is the cost of task i where opened is open already.
func (n numbers) pay(i int, opened uint64) float64 {
	sum := n.cost[i]
	for more := n.opens[i] &^ opened; more != 0; more &= more - 1 {
		sum += n.opening[bits.TrailingZeros64(more)]
	}
	return sum
}

// same is the difference, in parts, below which two costs count as equal, so
// that rounding does not decide between them.
const same = 1e-12

func less(a, b float64) bool { return a < b-same*max(a, b) }

// allOrders finds the cheapest order by way of all sets of tasks: what the
// tasks outside a set still cost depends on the set alone, not on its order.
func (m *model) allOrders() []int {
	n := m.numbers()
	size := 1 << len(m.tasks)
	open, opened := n.stillOpen(len(m.tasks)), make([]uint64, size)
	for set := 1; set < size; set++ {
		opened[set] = opened[set&(set-1)] | n.opens[bits.TrailingZeros(uint(set))]
	}
	cost, next := make([]float64, size), make([]int, size)
	for set := size - 2; set >= 0; set-- {
		next[set] = -1
		for i := range m.tasks {
			if set>>i&1 == 1 {
				continue
			}
			c := open[set]*n.pay(i, opened[set]) + cost[set|1<<i]
			if next[set] < 0 || less(c, cost[set]) {
				cost[set], next[set] = c, i
			}
		}
	}
	var order []int
	for set := 0; set < size-1; set |= 1 << next[set] {
		order = append(order, next[set])
	}
	return order
}

// stillOpen gives for each set of tasks the probability that none of them
// finds the cause: the sum over causes that only other tasks find, or none.
func (n numbers) stillOpen(tasks int) []float64 {
	size := 1 << tasks
	by := make([]float64, size) // by the set of tasks that find a cause
	by[0] = n.rest
	for c, p := range n.p {
		finders := 0
		for i, finds := range n.finds {
			for _, f := range finds {
				if f == c {
					finders |= 1 << i
				}
			}
		}
		by[finders] += p
	}
	for i := range tasks { // sums over subsets
		for set := range size {
			if set>>i&1 == 1 {
				by[set] += by[set&^(1<<i)]
			}
		}
	}
	out := make([]float64, size)
	for set := range out {
		out[set] = by[size-1-set]
	}
	return out
}

// expected is the expected cost of an order.
func (n numbers) expected(order []int) float64 {
	found := make([]bool, len(n.p))
	open, sum := 1.0, 0.0
	var opened uint64
	for _, i := range order {
		sum += open * n.pay(i, opened)
		opened |= n.opens[i]
		for _, c := range n.finds[i] {
			if !found[c] {
				found[c] = true
				open -= n.p[c]
			}
		}
	}
	return sum
}
