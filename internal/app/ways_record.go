package app

import (
	"cmp"
	"slices"
	"strings"

	"benchtag/internal/estimate"
	"benchtag/internal/layout"
	"benchtag/internal/shop"
)

// record stores lines and ways forward as proposed.
func (w *weighing) record(s estimate.Suggestion, made *WaysMade) error {
	w.proposed = map[string]estimate.ProposedLine{}
	for _, p := range s.Lines {
		w.proposed[p.ID] = p
	}
	lines := map[string]shop.LineID{}
	for _, scope := range s.Scopes {
		ids := w.closingIDs()
		if len(scope.Lines)+len(ids) == 0 {
			continue
		}
		for _, id := range scope.Lines {
			row, err := w.line(id, lines, made)
			if err != nil {
				return err
			}
			if row != "" {
				ids = append(ids, string(row))
			}
		}
		if err := w.scope(scope, ids, made); err != nil {
			return err
		}
	}
	for _, p := range s.PricesMissing {
		if !slices.Contains(made.PricesMissing, p.Name) {
			made.PricesMissing = append(made.PricesMissing, p.Name)
		}
	}
	if words := w.closingWords(); words != "" {
		made.Working = append(made.Working, words)
	}
	made.Working, made.Warnings = append(made.Working, s.Working...), append(made.Warnings, s.Warnings...)
	return w.waiting(s, made)
}

// closingIDs gives the lines of closing what is open that are agreed to: they
// stand in every way forward, so that none hides them and none counts them
// twice.
func (w *weighing) closingIDs() []string {
	var ids []string
	for _, l := range w.closing {
		ids = append(ids, string(l.ID))
	}
	return ids
}

func (w *weighing) closingWords() string {
	if len(w.closing) == 0 {
		return ""
	}
	var names []string
	for _, l := range w.closing {
		names = append(names, l.Description)
	}
	return "Closing what is open now is agreed to already (" + strings.Join(names, ", ") + "): these lines stand in every way forward, once, and nothing is added for them."
}

// line stores a proposed line, once however many ways forward hold it; "" for
// one that comes to nothing.
func (w *weighing) line(id string, lines map[string]shop.LineID, made *WaysMade) (shop.LineID, error) {
	if row, ok := lines[id]; ok {
		return row, nil
	}
	p := w.proposed[id]
	if p.Kind == estimate.Labour && p.Minutes == 0 {
		return "", nil // looking at what is open: the opening pays for it
	}
	row, err := makeRecord(w.c, lineRules(), func(l *shop.Line) {
		l.Kind, l.Description, l.Work = shop.LineKind(p.Kind), cmp.Or(p.Label, p.ID), shop.LineWorkRepair
		l.QuantityMilli, l.Minutes, l.UnitPrice, l.TaxCategory = p.Milli, p.Minutes, p.UnitPrice, p.TaxCategory
		l.Certainty = shop.Certainty(p.Certainty)
		if p.Certainty == estimate.Possible && p.Ceiling > 0 {
			ceiling := p.Ceiling
			l.Ceiling = &ceiling
		}
		if p.Kind == estimate.Part {
			l.PartCondition = shop.PartConditionNew
		}
		if w.finding(p.For) != nil {
			l.FindingID = shop.FindingID(p.For)
		}
		l.PartNumber = w.priceOf(p).PartNumber
	})
	if err != nil {
		return "", err
	}
	lines[id] = row.ID
	made.Lines = append(made.Lines, row)
	return row.ID, nil
}

func (w *weighing) finding(id string) *shop.Finding {
	for i := range w.findings {
		if string(w.findings[i].ID) == id {
			return &w.findings[i]
		}
	}
	return nil
}

// priceOf finds what was said of the part that a line is for.
func (w *weighing) priceOf(p estimate.ProposedLine) PartPrice {
	if p.Kind == estimate.Labour {
		return PartPrice{}
	}
	for _, c := range w.m.Map().Components {
		if strings.EqualFold(c.Name, p.Label) {
			if price, ok := w.prices[strings.ToLower(string(c.Key))]; ok {
				return price
			}
		}
	}
	return w.prices[strings.ToLower(p.Label)]
}

// scope stores a way forward in the customer's words.
func (w *weighing) scope(scope estimate.Scope, lines []string, made *WaysMade) error {
	ready, err := w.ready(scope)
	if err != nil {
		return err
	}
	row, err := makeRecord(w.c, scopeRules(), func(r *shop.Scope) {
		r.Title, r.Kind, r.LineIDs = scope.Title, shop.ScopeKindRepair, lines
		if scope.Key == estimate.ScopePutBack {
			r.Kind = shop.ScopeKindPutBack
		}
		r.WhatWeDo = w.whatWeDo(scope)
		r.StaysUnknown = w.staysUnknown(scope)
		r.MayRide, r.RideNote = riding(scope.Riding), strings.Join(scope.RidingWhy, " ")
		r.EarliestOn = ready
	})
	if err != nil {
		return err
	}
	made.Scopes = append(made.Scopes, row)
	for _, name := range slices.Concat(scope.PricesMissing, scope.MinutesMissing) {
		made.Warnings = append(made.Warnings, scope.Title+": the total lacks "+name+".")
	}
	return nil
}

func riding(answer shop.YesNo) shop.RideAnswer {
	switch answer {
	case shop.YesNoYes:
		return shop.RideAnswerAfterWork
	case shop.YesNoNo:
		return shop.RideAnswerNo
	}
	return shop.RideAnswerNotKnown
}

// called names findings by id, and other things as they are.
func (w *weighing) called(ids []string) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = strings.TrimPrefix(id, "exposed: ")
		if f := w.finding(strings.TrimPrefix(id, "not looked at: ")); f != nil {
			names[i] = f.Called()
		} else if c := w.m.Members(layout.Key(id)); len(c) > 0 {
			names[i] = w.m.Name(layout.Key(id))
		}
	}
	return strings.Join(names, ", ")
}

func (w *weighing) whatWeDo(scope estimate.Scope) string {
	var out []string
	if scope.Key == estimate.ScopePutBack {
		out = append(out, "Put together again, so that it can be moved; nothing is put right.")
	}
	if len(scope.Repairs) > 0 {
		out = append(out, "Put right: "+w.called(scope.Repairs)+".")
	}
	return strings.Join(append(out, scope.Notes...), " ")
}

func (w *weighing) staysUnknown(scope estimate.Scope) string {
	var out []string
	for _, part := range []struct {
		words string
		ids   []string
	}{
		{"Stays as found: ", scope.Stays}, {"Debris can have reached, and nobody has seen: ", scope.Exposed}, {"Not looked at: ", scope.NotLookedAt},
	} {
		if len(part.ids) > 0 {
			out = append(out, part.words+w.called(part.ids)+".")
		}
	}
	return strings.Join(out, " ")
}

// ready is the earliest day a way forward can be done, from when its parts are
// here and the bench hours it takes.
func (w *weighing) ready(scope estimate.Scope) (shop.Date, error) {
	hours := w.asked.HoursADay
	if hours == 0 {
		hours = 6
	}
	plan := estimate.Plan{Start: estimate.Day(w.today)}
	day := hours * 60
	plan.Week = estimate.Week{Monday: day, Tuesday: day, Wednesday: day, Thursday: day, Friday: day}
	for _, l := range w.closing {
		plan.Tasks = append(plan.Tasks, estimate.Task{ID: string(l.ID), Label: l.Description, Minutes: l.Minutes})
	}
	for _, id := range scope.Lines {
		p := w.proposed[id]
		task := estimate.Task{ID: p.ID, Label: p.Label, Minutes: p.Minutes}
		if p.Kind != estimate.Labour {
			task.Arrives = estimate.Day(w.priceOf(p).ArrivesOn)
		} else if p.For != "" {
			task.Arrives = w.lastArrival(scope, p.For)
		}
		plan.Tasks = append(plan.Tasks, task)
	}
	ready, err := estimate.Finish(plan)
	return shop.Date(ready.Finish), err
}

// lastArrival is when the last part for the same thing comes: its labour waits
// for it.
func (w *weighing) lastArrival(scope estimate.Scope, of string) estimate.Day {
	last := estimate.Day("")
	for _, id := range scope.Lines {
		p := w.proposed[id]
		if p.For == of && p.Kind != estimate.Labour {
			last = max(last, estimate.Day(w.priceOf(p).ArrivesOn))
		}
	}
	return last
}

// waiting holds the first cause alone against everything that was found.
func (w *weighing) waiting(s estimate.Suggestion, made *WaysMade) error {
	first := slices.IndexFunc(s.Scopes, func(x estimate.Scope) bool { return x.Key == estimate.ScopeFirstCause })
	all := slices.IndexFunc(s.Scopes, func(x estimate.Scope) bool { return x.Key == estimate.ScopeEverything })
	if first < 0 || all < 0 {
		return nil
	}
	early, now := estimate.EndsOf(s.Scopes[first].Totals), estimate.EndsOf(s.Scopes[all].Totals)
	if len(w.closing) > 0 {
		agreed, err := priceBy(w.rules, w.closing)
		if err != nil {
			return err
		}
		both := estimate.EndsOf(agreed.Totals)
		early, now = estimate.Ends{Low: early.Low + both.Low, High: early.High + both.High}, estimate.Ends{Low: now.Low + both.Low, High: now.High + both.High}
		made.Working = append(made.Working, "The closing agreed to counts in both, with tax.")
	}
	cost, err := estimate.Waiting(early, now, w.rules.Currency)
	if err != nil {
		return err
	}
	made.Working = append(append(made.Working, "The cost of waiting: the first cause alone, had it been all, against everything found now."), cost.Working...)
	made.Warnings = append(made.Warnings, cost.Warnings...)
	return nil
}
