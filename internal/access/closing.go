package access

import (
	"fmt"
	"slices"

	"benchtag/internal/layout"
)

// close writes how the machine goes back together: the steps of the plan and
// those that were open before.
func (p *planner) close(r *Result, opening []layout.Step) {
	open := append(ordered(p.m.Map().Steps, p.done, nil), opening...)
	order, warnings := p.backOrder(open)
	r.Warnings = append(r.Warnings, warnings...)
	r.Closing, r.AtParts, r.HoldsLeft = []Closing{}, []Joint{}, []Hold{}
	for _, i := range order {
		s := open[i]
		c := Closing{Step: s.Key, Name: s.Name, Minutes: s.MinutesBack, DoneBefore: p.done[s.Key], Holds: []Hold{}, Joints: []Joint{}}
		if c.DoneBefore {
			r.Minutes.BackOfDone += s.MinutesBack
		}
		r.Closing = append(r.Closing, c)
	}
	p.fasten(r)
}

// sequence is what must be closed before what, of numbered steps.
type sequence struct{ before []set }

// put says that a is closed before b, with all that follows from it. It
// reports false, and changes nothing, where the opposite holds already.
func (q *sequence) put(a, b int) bool {
	if a == b || q.before[a].has(b) {
		return false
	}
	earlier := q.before[a].clone()
	earlier.put(a)
	for i := range q.before {
		if i == b || q.before[i].has(b) {
			q.before[i].add(earlier)
		}
	}
	return true
}

// backOrder gives the order in which open steps are closed: as the map says
// (back_after; then hold points, for a joint must be drawn before what covers
// it); then a step before those it needed; then the last opened first.
func (p *planner) backOrder(open []layout.Step) ([]int, []string) {
	q := &sequence{before: make([]set, len(open))}
	number := map[layout.Key]int{}
	for i, s := range open {
		q.before[i] = newSet(len(open))
		number[s.Key] = i
	}
	warnings := p.mapOrder(q, open, number)
	for i := len(open) - 1; i >= 0; i-- {
		for _, alternatives := range open[i].Needs {
			for _, k := range alternatives {
				j, in := number[k]
				if in && j < i {
					q.put(i, j)
				}
			}
		}
	}
	return q.latestFirst(), warnings
}

// mapOrder puts in what the map itself says.
func (p *planner) mapOrder(q *sequence, open []layout.Step, number map[layout.Key]int) []string {
	var warnings []string
	for i, s := range open {
		for _, k := range s.BackAfter {
			j, in := number[k]
			if in && !q.put(j, i) {
				warnings = append(warnings, fmt.Sprintf("The map says of %s and %s that each goes back after the other; ask the maker's manual.", s.Name, open[j].Name))
			}
		}
	}
	for _, f := range p.m.Map().Fastenings {
		i, drawn := number[f.Step]
		j, covers := number[f.HoldBefore]
		if drawn && covers && !q.put(i, j) {
			warnings = append(warnings, fmt.Sprintf("%s: the map closes %s before it is drawn, so it cannot be checked before; check it otherwise.", f.Name, open[j].Name))
		}
	}
	return warnings
}

// latestFirst gives the order: of the steps with all before them closed, the
// one with the highest number.
func (q *sequence) latestFirst() []int {
	closed := newSet(len(q.before))
	order := make([]int, 0, len(q.before))
	for range q.before {
		for i := len(q.before) - 1; i >= 0; i-- {
			if !closed.has(i) && q.before[i].within(closed) {
				closed.put(i)
				order = append(order, i)
				break
			}
		}
	}
	return order
}

// fasten puts joints and hold points where they belong.
func (p *planner) fasten(r *Result) {
	for _, f := range p.m.Map().Fastenings {
		at := slices.IndexFunc(r.Closing, func(c Closing) bool { return c.Step == f.Step })
		switch {
		case at >= 0:
			r.Closing[at].Joints = append(r.Closing[at].Joints, p.joint(f))
		case f.Step == "" && p.renews(f.Component):
			r.AtParts = append(r.AtParts, p.joint(f))
		default:
			continue
		}
		if f.HoldBefore != "" {
			p.hold(r, f, at)
		}
	}
}

func (p *planner) renews(k layout.Key) bool {
	return slices.ContainsFunc(p.targets, func(a aim) bool { return a.Component == k && a.Do == Renew })
}

// hold puts a hold point before the step it guards, or among those left where
// that step is not closed after the joint is drawn.
func (p *planner) hold(r *Result, f layout.Fastening, drawn int) {
	h := Hold{Fastening: f.Key, Name: f.Name, Safety: f.Safety, Before: f.HoldBefore}
	covers := slices.IndexFunc(r.Closing, func(c Closing) bool { return c.Step == f.HoldBefore })
	if covers <= drawn {
		h.Words = fmt.Sprintf("Check %s before the machine is handed over; nothing in this plan covers it afterwards.", f.Name)
		r.HoldsLeft = append(r.HoldsLeft, h)
		return
	}
	h.Words = fmt.Sprintf("Check %s before this goes on: %s.", f.Name, r.Closing[covers].Name)
	r.Closing[covers].Holds = append(r.Closing[covers].Holds, h)
}

// noData stands where a joint has no figures. Another machine's are never
// put in their place.
const noData = "No data: see the maker's manual."

// joint writes a fastening out with its figures.
func (p *planner) joint(f layout.Fastening) Joint {
	j := Joint{Fastening: f.Key, Name: f.Name, Component: f.Component, Safety: f.Safety, Condition: f.Condition,
		Pattern: f.Pattern, NewBolt: f.NewBolt, Stages: []layout.Stage{}, NoData: noData}
	if p.req.Sheet == nil {
		return j
	}
	t, known := p.req.Sheet.Torque(f.Key)
	source, sourced := p.req.Sheet.Source(t.Source)
	if known && sourced && len(t.Stages) > 0 {
		j.Stages, j.Source, j.NoData = t.Stages, &source, ""
	}
	return j
}

// jointWarnings says what there is to know about the figures of joints.
func (p *planner) jointWarnings(r Result) []string {
	var missing, examples int
	joints := slices.Clone(r.AtParts)
	for _, c := range r.Closing {
		joints = append(joints, c.Joints...)
	}
	for _, j := range joints {
		switch {
		case j.NoData != "":
			missing++
		case j.Source.Kind == layout.FromExample:
			examples++
		}
	}
	var out []string
	if missing > 0 {
		out = append(out, fmt.Sprintf("%d of %d joints have no torque here: take it from the maker's manual.", missing, len(joints)))
	}
	if examples > 0 {
		out = append(out, fmt.Sprintf("%d of %d joints have example torques, not for service: take them from the maker's manual.", examples, len(joints)))
	}
	return out
}
