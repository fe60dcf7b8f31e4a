package access

import (
	"fmt"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// planner is the facts of one request.
type planner struct {
	m       *layout.Compiled
	req     Request
	done    map[layout.Key]bool
	blocked map[layout.Key]bool
	targets []aim
	graph   *graph
}

// aim is a target with its component.
type aim struct {
	Target
	part layout.Component
}

func (a aim) ways() [][]layout.Key {
	if a.Do == Look {
		return a.part.Look
	}
	return a.part.Renew
}

// minutes is the work at the part itself.
func (a aim) minutes() int64 {
	if a.Do == Look {
		return 0
	}
	return a.part.RenewMinutes
}

// Plan finds the steps that reach all targets in the least minutes of opening
// and closing, and says how it is done. Among sets of equal minutes it takes
// one with fewest steps, and among these the first by the steps' keys that
// the search comes upon; the order of targets plays no part. Faults:
// access.targets_missing, access.component_unknown, access.do_unknown,
// access.step_unknown, access.step_both, access.sheet_foreign, and
// access.target_unreachable where no way is left.
func Plan(m *layout.Compiled, req Request) (Result, error) {
	p, err := prepare(m, req)
	if err != nil {
		return Result{}, err
	}
	clauses, err := p.clauses()
	if err != nil {
		return Result{}, err
	}
	chosen, proven := p.graph.solve(clauses)
	inner := p.within(chosen)
	needs := make([]map[layout.Key]bool, len(p.targets))
	plan := map[layout.Key]bool{}
	for i, a := range p.targets {
		steps, _ := inner.solve([]clause{inner.reach(a.ways())})
		needs[i] = inner.keys(steps)
		for k := range needs[i] {
			plan[k] = true
		}
	}
	return p.result(plan, needs, clauses, proven), nil
}

// within is the graph of the chosen steps alone, so that each target's need
// is looked for in the plan.
func (p *planner) within(chosen set) *graph {
	in := p.graph.keys(chosen)
	return newGraph(p.m.Map().Steps, p.done, func(k layout.Key) bool { return in[k] })
}

func (g *graph) keys(s set) map[layout.Key]bool {
	out := map[layout.Key]bool{}
	for _, i := range s.members() {
		out[g.steps[i].Key] = true
	}
	return out
}

// clauses gives for each target the sets of steps that reach it.
func (p *planner) clauses() ([]clause, error) {
	out := make([]clause, len(p.targets))
	for i, a := range p.targets {
		out[i] = p.graph.reach(a.ways())
		if len(out[i]) == 0 {
			return nil, fault.New(fault.Meaning, "access.target_unreachable",
				fmt.Sprintf("%s cannot be reached: each way to it takes a step that is given as not possible, or that needs one. Find another way, or take it off the list.", a.part.Name))
		}
	}
	return out, nil
}

func (p *planner) result(plan map[layout.Key]bool, needs []map[layout.Key]bool, clauses []clause, proven bool) Result {
	opening := ordered(p.m.Map().Steps, plan, p.done)
	r := Result{Proven: proven, Tools: []string{}, Destroyed: []layout.NewPart{}, Warnings: []string{}}
	r.Opening = p.opening(opening, needs)
	r.Targets = p.shares(opening, needs, clauses)
	for _, o := range r.Opening {
		r.Minutes.Open += o.Minutes
		r.Minutes.Back += o.Back
		r.Destroyed = sumParts(r.Destroyed, o.Destroys)
		r.Tools = union(r.Tools, o.Tools)
	}
	p.close(&r, opening)
	p.lines(&r)
	r.Minutes.Total = r.Minutes.Open + r.Minutes.Parts + r.Minutes.Back
	r.Warnings = append(r.Warnings, p.warnings(r)...)
	return r
}

// opening writes out the steps of opening up with who needs them.
func (p *planner) opening(steps []layout.Step, needs []map[layout.Key]bool) []Opening {
	out := make([]Opening, len(steps))
	for i, s := range steps {
		out[i] = Opening{Step: s.Key, Name: s.Name, Caution: s.Caution, Minutes: s.Minutes, Back: s.MinutesBack,
			Tools: listed(s.Tools), Destroys: listed(s.Destroys), NeededBy: []int64{}}
		for t, need := range needs {
			if need[s.Key] {
				out[i].NeededBy = append(out[i].NeededBy, int64(t))
			}
		}
	}
	return out
}

// shares writes out what each target has to do with the plan.
func (p *planner) shares(steps []layout.Step, needs []map[layout.Key]bool, clauses []clause) []Share {
	shared := make([]Shared, len(steps))
	out := make([]Share, len(p.targets))
	for i, a := range p.targets {
		alone, _ := p.graph.solve(clauses[i : i+1])
		out[i] = Share{Target: a.Target, Name: a.part.Name, Needs: []layout.Key{}, Minutes: a.minutes(), Alone: p.graph.minutes(alone), Ways: p.ways(a, needs[i]), Parts: []layout.NewPart{}}
		if a.Do == Renew {
			out[i].Parts = listed(a.part.Parts)
		}
		for j, s := range steps {
			shared[j].Minutes = s.Minutes + s.MinutesBack
			if needs[i][s.Key] {
				shared[j].NeededBy = append(shared[j].NeededBy, i)
				out[i].Needs = append(out[i].Needs, s.Key)
			}
		}
	}
	for i, share := range Divide(shared, len(out)) {
		out[i].Opening = share
	}
	return out
}

// ways writes the ways to a target out.
func (p *planner) ways(a aim, needs map[layout.Key]bool) []Way {
	out := []Way{}
	for _, steps := range a.ways() {
		w := Way{Steps: steps, Taken: true}
		for _, k := range steps {
			w.Taken = w.Taken && (needs[k] || p.done[k])
		}
		c := p.graph.reach([][]layout.Key{steps})
		if len(c) > 0 {
			alone, _ := p.graph.solve([]clause{c})
			w.Possible, w.Alone = true, p.graph.minutes(alone)
		}
		out = append(out, w)
	}
	return out
}

// minutes is what opening and closing a set of steps takes.
func (g *graph) minutes(s set) int64 {
	var sum int64
	for _, i := range s.members() {
		sum += g.steps[i].Minutes + g.steps[i].MinutesBack
	}
	return sum
}

// lines writes the lines for paper: shared steps once, so that striking one
// target never makes another dearer than it is shown.
func (p *planner) lines(r *Result) {
	r.Lines = []Line{{Words: "Opening up and closing, once", Minutes: r.Minutes.Open + r.Minutes.Back}}
	for _, t := range r.Targets {
		words := "Look at: " + t.Name
		if t.Do == Renew {
			words = "Renew: " + t.Name
		}
		r.Lines = append(r.Lines, Line{Words: words, Target: t.Component, Do: t.Do, Minutes: t.Minutes})
		r.Minutes.Parts += t.Minutes
	}
}

// warnings says what to look at before relying on the plan.
func (p *planner) warnings(r Result) []string {
	var out []string
	if !r.Proven {
		out = append(out, "Not proven least: the search was cut short, so a set of steps that takes less time may exist.")
	}
	if p.m.Map().Example {
		out = append(out, "Times and steps are those of an example map: "+p.m.Map().Notice)
	}
	if r.Minutes.BackOfDone > 0 {
		out = append(out, fmt.Sprintf("Closing what was open before takes %d min, which is not counted here.", r.Minutes.BackOfDone))
	}
	return append(out, p.jointWarnings(r)...)
}

// sumParts adds parts to a list, by name.
func sumParts(sum, parts []layout.NewPart) []layout.NewPart {
	for _, part := range parts {
		found := false
		for i := range sum {
			if sum[i].Name == part.Name {
				sum[i].Quantity += part.Quantity
				found = true
			}
		}
		if !found {
			sum = append(sum, part)
		}
	}
	return sum
}

// union adds what is new.
func union(all, more []string) []string {
	for _, m := range more {
		found := false
		for _, a := range all {
			found = found || a == m
		}
		if !found {
			all = append(all, m)
		}
	}
	return all
}

// listed gives an empty list for none.
func listed[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
