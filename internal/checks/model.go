package checks

import (
	"fmt"
	"math/big"
	"slices"

	"benchtag/internal/fault"
)

// Bounds of a problem.
const (
	maxTasks    = 100
	maxOpenings = 64
	// maxCompared is the number of checks up to which all orders are
	// compared: 2^14 sets.
	maxCompared = 14
)

// model is a problem by numbers.
type model struct {
	causes   []Chance
	tasks    []task
	openings []Opening
	inside   []int    // by opening: the one around it, -1 for none
	rest     *big.Rat // probability of none of the causes
}

type task struct {
	key   string
	cost  *big.Rat
	finds []int
	opens []int // with those around them, outermost first
}

func one() *big.Rat { return big.NewRat(1, 1) }

// read checks a problem and numbers it.
func read(p Problem) (*model, error) {
	m := &model{causes: p.Causes, openings: p.Openings}
	if len(p.Tasks) == 0 || len(p.Tasks) > maxTasks || len(p.Openings) > maxOpenings {
		return nil, fault.New(fault.Meaning, "checks.checks_missing", fmt.Sprintf("Name from one to %d checks, and at most %d openings.", maxTasks, maxOpenings))
	}
	for _, step := range []func(Problem) error{unique, m.readCauses, m.readOpenings, m.readTasks} {
		err := step(p)
		if err != nil {
			return nil, err
		}
	}
	return m, nil
}

// unique refuses a key that stands twice.
func unique(p Problem) error {
	var causes, tasks, openings []string
	for _, c := range p.Causes {
		causes = append(causes, c.Key)
	}
	for _, t := range p.Tasks {
		tasks = append(tasks, t.Key)
	}
	for _, o := range p.Openings {
		openings = append(openings, o.Key)
	}
	for _, keys := range [][]string{causes, tasks, openings} {
		for i, k := range keys {
			if k == "" || slices.Contains(keys[:i], k) {
				return fault.New(fault.Meaning, "checks.key_twice", fmt.Sprintf("The key %.64q is empty or stands twice; give each its own.", k))
			}
		}
	}
	return nil
}

func (m *model) readCauses(p Problem) error {
	m.rest = one()
	for _, c := range p.Causes {
		if c.P == nil || c.P.Sign() < 0 {
			return fault.New(fault.Meaning, "checks.p_outside", fmt.Sprintf("The probability of %.64q must be 0 or more.", c.Key))
		}
		if negative(c.Repair) {
			return fault.New(fault.Meaning, "checks.cost_negative", fmt.Sprintf("The repair cost of %.64q must be 0 or more.", c.Key))
		}
		m.rest.Sub(m.rest, c.P)
	}
	if m.rest.Sign() < 0 {
		sum := new(big.Rat).Sub(one(), m.rest)
		return fault.New(fault.Meaning, "checks.p_outside",
			fmt.Sprintf("The probabilities add up to %s, more than 1: one cause at most is there. Correct them, or say that they are weights, to have each divided by their sum.", figure(sum)))
	}
	return nil
}

// negative reports whether a cost is below 0; none is 0.
func negative(r *big.Rat) bool { return r != nil && r.Sign() < 0 }

func (m *model) readOpenings(p Problem) error {
	m.inside = make([]int, len(p.Openings))
	for i, o := range p.Openings {
		if o.Cost == nil || negative(o.Cost) {
			return fault.New(fault.Meaning, "checks.cost_negative", fmt.Sprintf("The cost of opening %.64q must be 0 or more.", o.Key))
		}
		m.inside[i] = slices.IndexFunc(p.Openings, func(other Opening) bool { return other.Key == o.Inside })
		if o.Inside != "" && m.inside[i] < 0 {
			return fault.New(fault.Meaning, "checks.opening_unknown", fmt.Sprintf("%.64q is inside %.64q, which is no opening; name one, or leave it out.", o.Key, o.Inside))
		}
	}
	for i := range p.Openings {
		if len(m.around(i)) > len(p.Openings) {
			return fault.New(fault.Meaning, "checks.opening_ring", fmt.Sprintf("The opening %.64q is inside itself; take one out of the ring.", p.Openings[i].Key))
		}
	}
	return nil
}

// around lists an opening and those around it, innermost first; one more
// than there are if they go in a ring.
func (m *model) around(i int) []int {
	var out []int
	for ; i >= 0 && len(out) <= len(m.inside); i = m.inside[i] {
		out = append(out, i)
	}
	return out
}

func (m *model) readTasks(p Problem) error {
	for _, t := range p.Tasks {
		if t.Cost == nil || negative(t.Cost) {
			return fault.New(fault.Meaning, "checks.cost_negative", fmt.Sprintf("The cost of check %.64q must be 0 or more.", t.Key))
		}
		in := task{key: t.Key, cost: t.Cost}
		for _, k := range t.Finds {
			i := slices.IndexFunc(p.Causes, func(c Chance) bool { return c.Key == k })
			if i < 0 {
				return fault.New(fault.Meaning, "checks.cause_unknown", fmt.Sprintf("Check %.64q finds %.64q, which is no cause named; name it among the causes.", t.Key, k))
			}
			in.finds = appendNew(in.finds, i)
		}
		for _, k := range t.Opens {
			i := slices.IndexFunc(p.Openings, func(o Opening) bool { return o.Key == k })
			if i < 0 {
				return fault.New(fault.Meaning, "checks.opening_unknown", fmt.Sprintf("Check %.64q needs the opening %.64q, which is not named; name it among the openings.", t.Key, k))
			}
			for _, outer := range backward(m.around(i)) {
				in.opens = appendNew(in.opens, outer)
			}
		}
		m.tasks = append(m.tasks, in)
	}
	return nil
}

func appendNew(list []int, i int) []int {
	if slices.Contains(list, i) {
		return list
	}
	return append(list, i)
}

func backward(list []int) []int {
	slices.Reverse(list)
	return list
}

// evaluate reckons what an order of the tasks, by number, is expected to
// cost, exactly.
func (m *model) evaluate(order []int) Sequence {
	s := Sequence{Turns: make([]Turn, 0, len(order))}
	found, opened := make([]bool, len(m.causes)), make([]bool, len(m.openings))
	open, expected := one(), new(big.Rat)
	for _, i := range order {
		t := m.tasks[i]
		turn := Turn{Check: t.key, Opens: []string{}, Open: figure(open), Cost: figure(t.cost)}
		opening, p := new(big.Rat), new(big.Rat)
		for _, o := range t.opens {
			if !opened[o] {
				opened[o] = true
				opening.Add(opening, m.openings[o].Cost)
				turn.Opens = append(turn.Opens, m.openings[o].Key)
			}
		}
		for _, c := range t.finds {
			if !found[c] {
				found[c] = true
				p.Add(p, m.causes[c].P)
			}
		}
		adds := new(big.Rat).Add(opening, t.cost)
		adds.Mul(adds, open)
		expected.Add(expected, adds)
		open.Sub(open, p)
		turn.Opening, turn.P, turn.Adds = figure(opening), figure(p), figure(adds)
		if t.cost.Sign() > 0 {
			turn.Ratio = figure(p.Quo(p, t.cost)).String()
		}
		s.Turns = append(s.Turns, turn)
	}
	repair := m.repair()
	s.Expected, s.Repair, s.Missed = figure(expected), figure(repair), figure(open)
	s.Total = figure(expected.Add(expected, repair))
	return s
}

// repair is the sum of p times r over the causes.
func (m *model) repair() *big.Rat {
	sum := new(big.Rat)
	for _, c := range m.causes {
		if c.Repair != nil {
			sum.Add(sum, new(big.Rat).Mul(c.P, c.Repair))
		}
	}
	return sum
}
