package access

import (
	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// Reached is what it takes to meet needs.
type Reached struct {
	Steps  []layout.Key // in opening order, without those done before
	Open   int64        // minutes to open
	Back   int64        // minutes to close
	Proven bool         // no set of steps takes less time
}

// Reach finds the steps that meet needs in the least minutes. Needs are as a
// step or a look of the map has them: lists of alternatives, of each list one.
// Of the request it heeds the steps done and not possible alone. Faults:
// access.step_unknown, access.step_both, and access.needs_unreachable where no
// alternative is left.
func Reach(m *layout.Compiled, needs [][]layout.Key, req Request) (Reached, error) {
	p, err := begin(m, req)
	if err != nil {
		return Reached{}, err
	}
	clauses := make([]clause, len(needs))
	for i, alternatives := range needs {
		ways := make([][]layout.Key, len(alternatives))
		for j, k := range alternatives {
			ways[j] = []layout.Key{k}
		}
		clauses[i] = p.graph.reach(ways)
		if len(clauses[i]) == 0 {
			return Reached{}, fault.New(fault.Meaning, "access.needs_unreachable", "What it needs cannot be done: each alternative takes a step that is given as not possible, or that needs one.")
		}
	}
	chosen, proven := p.graph.solve(clauses)
	r := Reached{Steps: []layout.Key{}, Proven: proven}
	for _, s := range ordered(m.Map().Steps, p.graph.keys(chosen), p.done) {
		r.Steps = append(r.Steps, s.Key)
		r.Open, r.Back = r.Open+s.Minutes, r.Back+s.MinutesBack
	}
	return r, nil
}
