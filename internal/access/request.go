package access

import (
	"fmt"
	"slices"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// prepare checks a request and gathers what planning needs.
func prepare(m *layout.Compiled, req Request) (*planner, error) {
	p, err := begin(m, req)
	if err != nil {
		return nil, err
	}
	err = p.aims()
	if err != nil {
		return nil, err
	}
	return p, sheetFor(m, req.Sheet)
}

// begin checks the steps done and not possible, and numbers the others.
func begin(m *layout.Compiled, req Request) (*planner, error) {
	p := &planner{m: m, req: req}
	var err error
	p.done, err = p.steps(req.Done, "/done")
	if err != nil {
		return nil, err
	}
	p.blocked, err = p.steps(req.NotPossible, "/not_possible")
	if err != nil {
		return nil, err
	}
	for i, k := range req.NotPossible {
		if p.done[k] {
			return nil, fault.Invalid("access.step_both", fmt.Sprintf("/not_possible/%d", i), "A step is either done or not possible; take it off one of the lists.")
		}
	}
	p.graph = newGraph(m.Map().Steps, p.done, func(k layout.Key) bool { return !p.blocked[k] })
	return p, nil
}

// steps makes a lookup of a list of steps.
func (p *planner) steps(keys []layout.Key, pointer string) (map[layout.Key]bool, error) {
	out := map[layout.Key]bool{}
	for i, k := range keys {
		if p.m.StepOrder(k) < 0 {
			return nil, fault.Invalid("access.step_unknown", fmt.Sprintf("%s/%d", pointer, i), fmt.Sprintf("The map has no step %.64q; name one of its steps.", k))
		}
		out[k] = true
	}
	return out, nil
}

// aims turns targets into components, in the order of the map, each once.
func (p *planner) aims() error {
	if len(p.req.Targets) == 0 {
		return fault.Invalid("access.targets_missing", "/targets", "Name at least one component to get at.")
	}
	wanted := map[Target]bool{}
	for i, t := range p.req.Targets {
		if !slices.Contains(Dos(), t.Do) {
			return fault.Invalid("access.do_unknown", fmt.Sprintf("/targets/%d/do", i), "Say look (to see it) or renew (to change it).")
		}
		members := p.m.Members(t.Component)
		if len(members) == 0 {
			return fault.Invalid("access.component_unknown", fmt.Sprintf("/targets/%d/component", i), fmt.Sprintf("The map has no component or group %.64q.", t.Component))
		}
		for _, k := range members {
			wanted[Target{k, t.Do}] = true
		}
	}
	for _, c := range p.m.Map().Components {
		for _, do := range Dos() {
			if wanted[Target{c.Key, do}] {
				p.targets = append(p.targets, aim{Target{c.Key, do}, c})
			}
		}
	}
	return nil
}

// sheetFor checks that a limit sheet is for the map.
func sheetFor(m *layout.Compiled, sheet *layout.Sheet) error {
	code := m.Map().Code
	if sheet == nil || sheet.Map == code {
		return nil
	}
	return fault.Invalid("access.sheet_foreign", "/sheet/map", fmt.Sprintf("The limit sheet is for map %.64q, not for this one (%s).", sheet.Map, code))
}

// ordered gives the wanted steps in an order in which the needs of each are
// met before it, as listed in the map where that leaves a choice. A step whose
// needs stay unmet comes last; there is none in a plan.
func ordered(all []layout.Step, wanted, done map[layout.Key]bool) []layout.Step {
	placed := map[layout.Key]bool{}
	var out []layout.Step
	ready := func(s layout.Step) bool {
		return wanted[s.Key] && !placed[s.Key] && needsMet(s, func(k layout.Key) bool { return placed[k] || done[k] })
	}
	for range wanted {
		i := slices.IndexFunc(all, ready)
		if i < 0 {
			break
		}
		placed[all[i].Key] = true
		out = append(out, all[i])
	}
	for _, s := range all {
		if wanted[s.Key] && !placed[s.Key] {
			out = append(out, s)
		}
	}
	return out
}

func needsMet(s layout.Step, have func(layout.Key) bool) bool {
	for _, alternatives := range s.Needs {
		if !slices.ContainsFunc(alternatives, have) {
			return false
		}
	}
	return true
}
