package app

import (
	"context"
	"slices"
	"strings"

	"benchtag/internal/access"
	"benchtag/internal/auth"
	"benchtag/internal/estimate"
	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/money"
	"benchtag/internal/shop"
	"benchtag/internal/spread"
)

// PartPrice is the price of a part, by the key of the component that is
// renewed or by the name of a part that opening up destroys.
type PartPrice struct {
	Part       string
	UnitPrice  money.Amount
	PartNumber string
	ArrivesOn  shop.Date
	Possible   bool // needed only if found worn
	Ceiling    money.Amount
}

// WaysAsked are the prices and rates for ways forward.
type WaysAsked struct {
	LabourRateID shop.LabourRateID
	Prices       []PartPrice
	LookFurther  []string // components or groups to open up and look at in the longer way
	HoursADay    int64    // bench hours a day, Monday to Friday; 0 stands for 6
}

// WaysMade are the lines and ways forward that were made of a job's findings.
type WaysMade struct {
	Lines         []shop.Line
	Scopes        []shop.Scope
	PricesMissing []string
	Working       []string
	Warnings      []string
}

// SuggestWays makes lines and ways forward from a job's findings: what puts
// them right by the machine map, opening up and closing once, and what stays
// unseen by the spread of debris. They are proposals like any other line and
// scope: people change and strike them.
func (a *App) SuggestWays(ctx context.Context, who auth.Principal, id shop.JobID, asked WaysAsked) (made WaysMade, err error) {
	err = a.onJob(ctx, who, id, "ways.suggested", func(c *JobChange) error {
		made = WaysMade{}
		if ended(c.Job) {
			return closed()
		}
		w, err := a.weighing(c, asked)
		if err != nil {
			return err
		}
		if err := w.situate(); err != nil {
			return err
		}
		suggestion, err := estimate.Suggest(w.situation, w.rules)
		if err != nil {
			return err
		}
		return w.record(suggestion, &made)
	})
	return made, err
}

// weighing gathers what ways forward hang on.
type weighing struct {
	c         *JobChange
	m         *layout.Compiled
	asked     WaysAsked
	rate      shop.LabourRate
	rules     estimate.Rules
	findings  []shop.Finding
	prices    map[string]PartPrice
	closing   []shop.Line // agreed to already: closing what is open now
	situation estimate.Situation
	proposed  map[string]estimate.ProposedLine // what the engine proposes, by its id
	today     shop.Date
}

func (a *App) weighing(c *JobChange, asked WaysAsked) (*weighing, error) {
	w := &weighing{c: c, asked: asked, prices: map[string]PartPrice{}}
	for _, p := range asked.Prices {
		w.prices[strings.ToLower(p.Part)] = p
	}
	var err error
	if w.m, err = a.needMap(c, *c.Job); err != nil {
		return nil, err
	}
	if w.rate, err = pointed[shop.LabourRate](c, string(asked.LabourRateID), "/labour_rate_id"); err != nil {
		return nil, err
	}
	s, err := load[shop.Shop](c, string(c.Shop()))
	if err != nil {
		return nil, err
	}
	w.today = shop.DateOf(c.Now(), zoneOf(s))
	if w.rules, err = rulesOf(c, s); err != nil {
		return nil, err
	}
	all, err := every[shop.Finding](c, By{"job_id": c.Job.ID})
	if err != nil {
		return nil, err
	}
	w.findings = unstruck(all)
	if len(w.findings) == 0 {
		return nil, fault.New(fault.Meaning, "app.findings_missing", "There is no finding yet to make ways forward of; record what was found first.")
	}
	lines, err := every[shop.Line](c, By{"job_id": c.Job.ID, "work": shop.LineWorkReassembly, "state": shop.LineStateAgreed})
	if err != nil {
		return nil, err
	}
	w.closing = unstruck(lines)
	w.situation.Rates = estimate.Rates{Labour: w.rate.PerHour, LabourTax: w.rate.TaxCategory, PartsTax: w.rate.TaxCategory}
	return w, nil
}

// situate puts findings, unseen parts, repairs, parts, looks and steps in the
// engine's words.
func (w *weighing) situate() error {
	for _, f := range w.findings {
		w.found(f)
	}
	if err := w.lookFurther(); err != nil {
		return err
	}
	if err := w.unseen(); err != nil {
		return err
	}
	for _, key := range w.asked.LookFurther {
		w.lookAt(key)
	}
	return w.steps()
}

// lookFurther puts the members of a group in its place, each once.
func (w *weighing) lookFurther() error {
	var out []string
	for _, key := range w.asked.LookFurther {
		members := w.m.Members(layout.Key(key))
		if len(members) == 0 {
			return fault.Invalid("app.component_unknown", "/look_further", "The machine map has no component or group "+key+"; name one that it has.")
		}
		for _, m := range members {
			if !slices.Contains(out, string(m)) {
				out = append(out, string(m))
			}
		}
	}
	w.asked.LookFurther = out
	return nil
}

func (w *weighing) found(f shop.Finding) {
	w.situation.Findings = append(w.situation.Findings, estimate.Found{ID: string(f.ID), Component: f.Component, Name: f.Called(), Grade: f.EffectiveGrade,
		Advised: f.Advised, SafeToRide: f.SafeToRide, FirstCause: f.FirstCause, CausedBy: string(f.CausedByID)})
	members := membersOf(w.m, f)
	if f.Advised == shop.AdvisedLookFurther {
		w.situation.Looks = append(w.situation.Looks, estimate.Look{For: string(f.ID)})
	}
	if !renewed(f) || len(members) == 0 {
		return
	}
	minutes := int64(0)
	for _, key := range members {
		part, _ := w.m.Component(key)
		minutes += part.RenewMinutes
		w.want(string(f.ID), part)
	}
	w.situation.Repairs = append(w.situation.Repairs, estimate.Repair{For: string(f.ID), Minutes: minutes})
}

// renewed reports that a part comes out to be put right or changed.
func renewed(f shop.Finding) bool {
	switch f.Advised {
	case shop.AdvisedReplace, shop.AdvisedRework, shop.AdvisedSendOut, shop.AdvisedCleanAndReuse:
		return true
	}
	return false
}

// want adds the parts that renewing a component takes. Cleaning one or having
// it worked on takes those that go with it alone.
func (w *weighing) want(id string, part layout.Component) {
	i := slices.IndexFunc(w.findings, func(f shop.Finding) bool { return string(f.ID) == id })
	if i < 0 || w.findings[i].Advised == shop.AdvisedReplace {
		w.situation.Parts = append(w.situation.Parts, w.wanted(id, string(part.Key), part.Name, 1))
	}
	for _, p := range part.Parts {
		w.situation.Parts = append(w.situation.Parts, w.wanted(id, p.Name, p.Name, p.Quantity))
	}
}

func (w *weighing) wanted(id, key, name string, quantity int64) estimate.Wanted {
	out := estimate.Wanted{For: id, Name: name, Milli: 1000 * quantity}
	p, ok := w.prices[strings.ToLower(key)]
	if !ok {
		return out
	}
	price := p.UnitPrice
	out.Price = &price
	if p.Possible {
		out.Certainty, out.Ceiling = estimate.Possible, p.Ceiling
	}
	return out
}

// unseen names what debris can have reached and no finding speaks of, as the
// gates name it, and what findings say was not looked at.
func (w *weighing) unseen() error {
	looks, err := every[shop.Check](w.c, By{"job_id": w.c.Job.ID})
	if err != nil {
		return err
	}
	stand, err := spread.Stand(w.m, looseIn(w.m, *w.c.Job, w.findings, unstruck(looks)))
	if err != nil {
		return err
	}
	named := namedBy(w.m, slices.DeleteFunc(slices.Clone(w.findings), silent))
	var exposed []layout.Key
	for _, c := range stand {
		if !named[c.Component] && (c.State == spread.ExposedCoarse || c.State == spread.ExposedFines) && !slices.Contains(w.asked.LookFurther, string(c.Component)) {
			exposed = append(exposed, c.Component)
		}
	}
	for _, name := range asGroups(w.m, exposed) {
		w.situation.Unseen = append(w.situation.Unseen, estimate.Unseen{Component: "exposed: " + name, Name: name, State: estimate.Exposed})
	}
	for _, f := range w.findings {
		if f.NotLookedBecause != "" && f.EffectiveGrade == nil && !renewed(f) && !w.looksFurther(f) {
			w.situation.Unseen = append(w.situation.Unseen, estimate.Unseen{Component: "not looked at: " + string(f.ID), Name: f.Called(), State: estimate.NotLookedAt})
		}
	}
	return nil
}

// looksFurther reports that all a finding speaks of is asked for by name, to
// be looked at in the longer way.
func (w *weighing) looksFurther(f shop.Finding) bool {
	members := membersOf(w.m, f)
	return len(members) > 0 && !slices.ContainsFunc(members, func(k layout.Key) bool { return !slices.Contains(w.asked.LookFurther, string(k)) })
}

// lookAt adds a component that the longer way opens up, with what it takes if
// it is found worn.
func (w *weighing) lookAt(key string) {
	part, _ := w.m.Component(layout.Key(key))
	w.situation.Unseen = append(w.situation.Unseen, estimate.Unseen{Component: key, Name: part.Name, State: estimate.Exposed})
	w.situation.Looks = append(w.situation.Looks, estimate.Look{For: key})
	if p, ok := w.prices[strings.ToLower(key)]; ok {
		price := p.UnitPrice
		w.situation.Parts = append(w.situation.Parts, estimate.Wanted{For: key, Name: part.Name, Milli: 1000, Price: &price,
			Certainty: estimate.Possible, Ceiling: max(p.Ceiling, price)})
		w.situation.Repairs = append(w.situation.Repairs, estimate.Repair{For: key, Minutes: part.RenewMinutes, Certainty: estimate.Possible})
	}
}

// steps plans the opening up for all that is repaired or looked at, and says
// of each step who needs it. What is open already only has to be closed.
func (w *weighing) steps() error {
	var targets []access.Target
	owner := map[access.Target][]string{}
	aim := func(id string, key layout.Key, do access.Do) {
		t := access.Target{Component: key, Do: do}
		targets = append(targets, t)
		owner[t] = append(owner[t], id)
	}
	for _, f := range w.findings {
		for _, key := range membersOf(w.m, f) {
			switch {
			case renewed(f):
				aim(string(f.ID), key, access.Renew)
			case f.Advised == shop.AdvisedLookFurther:
				aim(string(f.ID), key, access.Look)
			}
		}
	}
	for _, key := range w.asked.LookFurther {
		aim(key, layout.Key(key), access.Look)
	}
	neededBy := map[layout.Key][]string{}
	if len(targets) > 0 {
		plan, err := access.Plan(w.m, access.Request{Targets: targets, Done: keys(w.c.Job.StepsDone)})
		if err != nil {
			return err
		}
		for _, t := range plan.Targets {
			for _, step := range t.Needs {
				neededBy[step] = append(neededBy[step], owner[t.Target]...)
			}
		}
	}
	for _, s := range w.m.Map().Steps {
		done := slices.Contains(w.c.Job.StepsDone, string(s.Key))
		if done || len(neededBy[s.Key]) > 0 {
			w.situation.Steps = append(w.situation.Steps, w.step(s, done, neededBy[s.Key]))
		}
	}
	return nil
}

// step puts a step in the engine's words. What is open already costs nothing
// more where closing it was agreed to with opening it.
func (w *weighing) step(s layout.Step, done bool, neededBy []string) estimate.Step {
	slices.Sort(neededBy)
	if done && len(w.closing) > 0 {
		return estimate.Step{Key: string(s.Key), Name: s.Name, Done: true, NeededBy: slices.Compact(neededBy)}
	}
	out := estimate.Step{Key: string(s.Key), Name: s.Name, Minutes: s.Minutes, Back: s.MinutesBack, Done: done, NeededBy: slices.Compact(neededBy)}
	for _, d := range s.Destroys {
		if slices.ContainsFunc(w.situation.Parts, func(p estimate.Wanted) bool { return strings.EqualFold(p.Name, d.Name) }) {
			continue // it is renewed anyhow, and charged there
		}
		used := estimate.UsedOnce{Name: d.Name, Milli: 1000 * d.Quantity}
		if p, ok := w.prices[strings.ToLower(d.Name)]; ok {
			price := p.UnitPrice
			used.Price = &price
		}
		out.Destroys = append(out.Destroys, used)
	}
	return out
}
