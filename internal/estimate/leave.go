package estimate

import (
	"slices"
	"strconv"
	"strings"

	"benchtag/internal/shop"
)

// leave says what a way forward repairs and what it leaves as it is.
func (p *proposal) leave(w way, sc *Scope) {
	replaced := map[string]bool{}
	for _, f := range p.Findings {
		switch {
		case w.repair[f.ID]:
			sc.Repairs = append(sc.Repairs, f.ID)
			replaced[f.Component] = true
		case w.look[f.ID]:
		case f.open():
			sc.Stays = append(sc.Stays, f.ID)
		}
		if note := p.causeNote(f, w); note != "" {
			sc.Notes = append(sc.Notes, note)
		}
	}
	for _, u := range p.Unseen {
		switch {
		case w.look[u.Component] || replaced[u.Component]:
		case u.State == Exposed:
			sc.Exposed = append(sc.Exposed, u.Component)
		default:
			sc.NotLookedAt = append(sc.NotLookedAt, u.Component)
		}
	}
	if w.key == ScopePutBack && slices.ContainsFunc(p.Steps, func(s Step) bool { return s.Done && len(s.Destroys) > 0 }) {
		sc.Notes = append(sc.Notes, "Parts used once are not renewed in this way; joints are closed without them, another reason not to start it.")
	}
	if len(sc.PricesMissing)+len(sc.MinutesMissing) > 0 {
		sc.Notes = append(sc.Notes, "The totals lack what has no price or no time yet.")
	}
}

// open reports that something would be left undone with a finding as it is.
func (f Found) open() bool { return f.Advised != shop.AdvisedReuse || f.SafeToRide != shop.YesNoYes }

// named gives the names of components that nobody has seen.
func (p *proposal) named(components []string) []string {
	names := make([]string, len(components))
	for i, c := range components {
		names[i] = p.known[c].name
	}
	return names
}

// causeNote says where damage and its cause part ways in a way forward.
func (p *proposal) causeNote(f Found, w way) string {
	if f.CausedBy == "" {
		return ""
	}
	cause := p.known[f.CausedBy].name
	switch mended, causeMended := w.repair[f.ID], w.repair[f.CausedBy]; {
	case mended && !causeMended:
		return f.name() + " was caused by " + cause + ", which stays; it may happen again."
	case causeMended && !mended && f.open() && !w.look[f.ID]:
		return f.name() + ", caused by " + cause + ", stays as it is."
	}
	return ""
}

// ride says whether the machine may be ridden after a way forward, with every
// reason against it.
func (p *proposal) ride(w way, sc *Scope) {
	sc.Riding = shop.YesNoYes
	against := func(verdict shop.YesNo, why string) {
		if sc.Riding != shop.YesNoNo {
			sc.Riding = verdict
		}
		sc.RidingWhy = append(sc.RidingWhy, why)
	}
	if w.key == ScopePutBack {
		against(shop.YesNoNo, "It is put together to be moved, not to be started or ridden.")
	}
	for _, f := range p.Findings {
		switch {
		case w.repair[f.ID]:
		case f.SafeToRide == shop.YesNoNo:
			against(shop.YesNoNo, f.name()+" stays and is dangerous to ride with.")
		case f.SafeToRide != shop.YesNoYes:
			against(shop.YesNoNotKnown, "Whether "+f.name()+" is safe to ride with is not known.")
		}
	}
	if n := len(sc.Exposed) + len(sc.NotLookedAt); n > 0 {
		against(shop.YesNoNotKnown, counted(int64(n), "component stays", "components stay")+" unseen: "+strings.Join(p.named(slices.Concat(sc.Exposed, sc.NotLookedAt)), ", ")+".")
	}
	if len(w.look) > 0 {
		against(shop.YesNoNotKnown, "What looking further shows decides.")
	}
	if sc.Riding == shop.YesNoYes {
		sc.RidingWhy = append(sc.RidingWhy, "Nothing known stands against it; pre-ride checks and the road test decide.")
	}
}

// openingWords shows how opening and closing add up in a way forward.
func (p *proposal) openingWords(w way) string {
	open, back := p.openMinutes(w)
	var parts []string
	for _, s := range p.Steps {
		switch {
		case s.Done:
			parts = append(parts, s.name()+" 0 + "+minutesText(s.Back)+" (open already)")
		case slices.ContainsFunc(s.NeededBy, w.on):
			parts = append(parts, s.name()+" "+minutesText(s.Minutes)+" + "+minutesText(s.Back))
		}
	}
	if len(parts) == 0 {
		return "Opening up and closing: nothing."
	}
	return "Opening up and closing, each step once: " + strings.Join(parts, "; ") + "; together " +
		minutesText(open) + " + " + minutesText(back) + " = " + minutesText(open+back) + " min."
}

// counted writes a number with its noun, one or many.
func counted(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return minutesText(n) + " " + many
}

func minutesText(n int64) string { return strconv.FormatInt(n, 10) }

// warnings says what a person should look at before using the proposal.
func (p *proposal) warnings() []string {
	out := []string{"A proposal: a person checks and edits every line, time and price before a customer sees it."}
	if !slices.ContainsFunc(p.Findings, func(f Found) bool { return f.FirstCause }) {
		out = append(out, "No first cause is marked; without it the damage may come back.")
	}
	for _, f := range p.Findings {
		switch {
		case f.Advised == shop.AdvisedUnset:
			out = append(out, f.name()+": no advice yet, so no way forward repairs it.")
		case f.Grade != nil && *f.Grade >= 3 && !f.repairable() && f.Advised != shop.AdvisedLookFurther:
			out = append(out, f.name()+": grade "+minutesText(*f.Grade)+", and yet nothing is to be done about it.")
		}
	}
	for _, m := range p.out.PricesMissing {
		out = append(out, m.Name+": no price yet; it has no line.")
	}
	return out
}
