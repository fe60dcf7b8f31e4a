package app

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// Script is the offer in words to be read to the customer: the same document,
// nothing added to what it says and nothing of the question left out. It
// follows from the bytes of the document alone, so that its own hash can be
// held against them.
func (d OfferDocument) Script() string {
	var b strings.Builder
	say := func(format string, parts ...any) { fmt.Fprintf(&b, format+"\n", parts...) }
	say("To be read to the customer: work order %d, offer %d, of %s.", d.Number, d.Offer, d.Shop.Name)
	say("")
	say("FIRST, who is speaking. Ask for the name, and whether they are the owner or who they are to the owner. Make sure of it, and write down how.")
	say("")
	say("THEN READ:")
	say("This is %s. It is about your %s, %s. I will read you what we offer, then ask for your answer. You can say no, ask anything, or have it on paper.", d.Shop.Name, d.Machine, d.Job)
	for _, f := range d.Findings {
		say("%s", f.spoken())
	}
	for i, w := range d.Ways {
		say("")
		d.sayWay(say, i, w)
	}
	say("")
	if d.PriceTill != "" {
		say("The prices hold until the end of %s.", spokenDay(d.PriceTill))
	}
	for _, c := range d.Cautions {
		say("%s", c)
	}
	say("")
	say("THEN ASK: which way do you choose, or none? Please say it back to me with the total.")
	say("Their answer, in these words:")
	for i := range d.Ways {
		say("%s: %s", wayName(i), d.Wording(&d.Ways[i]))
	}
	say("None: %s", d.Wording(nil))
	say("")
	say("LAST: a copy of this goes to you. You can take your answer back by calling us, as long as the work is not done.")
	return b.String()
}

// sayWay reads out one way forward: the five questions, and its money by kind.
func (d OfferDocument) sayWay(say func(string, ...any), i int, w OfferWay) {
	say("%s: %s. %s", wayName(i), strings.TrimRight(w.Title, "."), w.WhatWeDo)
	for _, l := range w.Lines {
		text := fmt.Sprintf("- %s, %s: %s", l.Description, l.Kind, AmountWords(l.High, d.Currency))
		if l.Certainty == shop.CertaintyPossible {
			text += " at most, only if found"
		}
		say("%s.", text)
	}
	sum := d.Sums(w)
	base := "without tax"
	if d.TaxMode == shop.TaxModeInclusive {
		base = "tax included"
	}
	say("Labour %s, parts %s, other %s, %s.", AmountWords(sum.Labour, d.Currency), AmountWords(sum.Parts, d.Currency), AmountWords(sum.Other, d.Currency), base)
	say("Tax %s. In all at most %s, tax included.", AmountWords(w.High.Tax, d.Currency), AmountWords(w.High.Gross, d.Currency))
	if before := d.Before[w.ScopeID].Gross; before > 0 {
		say("You agreed to %s for this job before; with this it is at most %s in all.", AmountWords(before, d.Currency), AmountWords(before+w.High.Gross, d.Currency))
	}
	if w.Deposit != nil && *w.Deposit > 0 {
		say("Deposit before we start: %s.", AmountWords(*w.Deposit, d.Currency))
	}
	if w.EarliestOn != "" {
		say("Ready on %s at the earliest.", spokenDay(w.EarliestOn))
	} else {
		say("When it will be ready is not known yet.")
	}
	say("What stays unknown: %s", orSaid(w.StaysUnknown, "nothing is named."))
	say("May you ride it: %s. %s", strings.ReplaceAll(string(w.MayRide), "_", " "), w.RideNote)
	for _, t := range spokenTerms(w.Terms) {
		say("%s", t)
	}
}

// WaySums is what a way costs at most by kind, as its lines stand: with or
// without tax, by the document's tax mode.
type WaySums struct {
	Labour money.Amount
	Parts  money.Amount
	Other  money.Amount // consumables, sublet, fees
}

// Sums adds up the lines of a way by kind.
func (d OfferDocument) Sums(w OfferWay) WaySums {
	var out WaySums
	for _, l := range w.Lines {
		switch l.Kind {
		case shop.LineKindLabour:
			out.Labour += l.High
		case shop.LineKindPart:
			out.Parts += l.High
		default:
			out.Other += l.High
		}
	}
	return out
}

// spoken says a finding.
func (f OfferFinding) spoken() string {
	if f.NotLooked != "" {
		return "We did not look at the " + f.Component + ": " + f.NotLooked
	}
	out := "We found: " + f.Component
	if f.DamageMode != "" {
		out += ", " + strings.ReplaceAll(string(f.DamageMode), "_", " ")
	}
	if f.Grade != nil {
		out += ", grade " + strconv.FormatInt(*f.Grade, 10) + " of 4"
	}
	if f.FirstCause {
		out += "; it began there"
	}
	return out + ". Safe to ride with: " + strings.ReplaceAll(orSaid(string(f.SafeToRide), "not known"), "_", " ") + "."
}

// spokenTerms says what must be said before something is taken apart.
func spokenTerms(t *shop.TeardownTerms) []string {
	if t == nil {
		return nil
	}
	out := []string{"Before anything is taken apart:"}
	for _, term := range []struct{ name, said string }{
		{"What comes apart", t.AreaOrComponent}, {"Cost to take apart", t.TeardownCost}, {"Cost to put back", t.ReassemblyCost},
		{"Parts and work that cannot be used again", t.PartsAndLaborDestroyed}, {"Longest time to put it back", t.MaxReassemblyTime},
		{"Whether it may never be as it was", t.MayPreventRestoration},
	} {
		out = append(out, term.name+": "+orSaid(term.said, "not said")+".")
	}
	return out
}

// wayName names a way by a letter, as the page does.
func wayName(i int) string {
	if i < 26 {
		return "Way " + string(rune('A'+i))
	}
	return "Way " + strconv.Itoa(i+1)
}

// spokenDay writes a date in full, so that nobody reads month for day.
func spokenDay(d shop.Date) string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return t.Format("Monday 2 January 2006")
}
