package app

import (
	"slices"
	"strings"
	"time"

	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// lacks are what is missing or wrong in a record, by field.
type lacks []fault.Field

// unless notes a complaint where ok is false; the first about a field stays.
func (w *lacks) unless(ok bool, pointer, message string) {
	if !ok && !slices.ContainsFunc(*w, func(f fault.Field) bool { return f.Pointer == pointer }) {
		*w = append(*w, fault.Field{Pointer: pointer, Message: message})
	}
}

// clockSlack is how far a device's clock may run ahead of the server's.
const clockSlack = time.Minute

// said asks for what every record of something said must hold: who, how they
// were known, on which number, when, and in which words of theirs. The fields
// are the union of 16 CCR 3354 and 3356(d)-(e) and of what other rules ask.
func (w *lacks) said(g shop.Consent, now time.Time) {
	w.unless(g.Method != shop.ConsentMethodLink, "/method", "An answer by link is recorded by the page itself; say spoken, in_person or message.")
	w.unless(!blank(g.TypedName), "/typed_name", "Give the name of the person who decided.")
	w.unless(!blank(g.Relation), "/relation", "Say who they are to the owner: the owner, or the person the owner named.")
	w.unless(!blank(g.IdentifiedHow), "/identified_how", "Say how you knew who it was.")
	w.unless(!g.SaidAt.After(now.Add(clockSlack)), "/said_at", "This is still to come; give the time at which it was said.")
	switch g.Method {
	case shop.ConsentMethodSpoken:
		w.unless(!g.SaidAt.IsZero(), "/said_at", "Give the date and the time of the call.")
		w.unless(dialled(g.ContactUsed), "/contact_used", "Give the number that was called, in figures.")
		w.unless(!blank(g.SaidBack), "/said_back", "Have them say back what they agree to, with the total, and write it down in their words.")
		w.unless(g.ShownAs == shop.ShownAsReadOut, "/shown_as", "On the phone the words are read out; say read_out, or leave it out.")
	case shop.ConsentMethodMessage:
		w.unless(!g.SaidAt.IsZero(), "/said_at", "Give the date and the time of the message.")
		w.unless(!blank(g.ContactUsed), "/contact_used", "Give the number or address the message came from.")
		w.unless(!blank(g.SaidBack), "/said_back", "Copy the words of their message.")
		w.unless(g.ShownAs == shop.ShownAsMessage, "/shown_as", "What is answered by a message was sent by one; say message, or leave it out.")
	case shop.ConsentMethodInPerson:
		w.unless(g.ShownAs != shop.ShownAsMessage, "/shown_as", "In the shop it is read on a screen, on paper or read out.")
	}
}

// dialled reports whether text holds a number that could have been called.
func dialled(text string) bool {
	digits := 0
	for _, r := range text {
		if r >= '0' && r <= '9' {
			digits++
		}
	}
	return digits >= 5
}

// unshown asks how an offer was before the person who answered it.
func (w *lacks) unshown(g shop.Consent) {
	w.unless(!blank(g.ShownSHA256), "/shown_sha256", "Send the SHA-256 of the offer that was shown or read out.")
	switch g.ShownAs {
	case shop.ShownAsReadOut:
		w.unless(!blank(g.ReadOutSHA256), "/read_out_sha256", "Read the words of this offer's script to them and send the script's SHA-256.")
	case shop.ShownAsScreen, shop.ShownAsMessage:
		w.unless(g.ElectronicAgreed, "/electronic_agreed", "Ask whether they agree to have this electronically; if they want paper, print it and say paper.")
	case shop.ShownAsUnset:
		w.unless(g.Method != shop.ConsentMethodInPerson, "/shown_as", "Say how they had it before them: screen, paper or read_out.")
	}
}

// day asks what was said of when it will be ready; the day that the offer
// shows is what was said, unless a later one was.
func (w *lacks) day(g *shop.Consent, way *OfferWay, promised shop.Date) {
	if way != nil && way.EarliestOn != "" && g.ReadyOn == "" && !g.DayStands {
		g.ReadyOn = way.EarliestOn
	}
	w.unless(g.ReadyOn == "" || !g.DayStands, "/day_stands", "Either the promised day stands, or there is another day; send one of them.")
	w.unless(!g.DayStands || promised != "", "/day_stands", "No day was promised on this work order; give the day it will be ready.")
	w.unless(g.ReadyOn == "" || way == nil || g.ReadyOn >= way.EarliestOn, "/ready_on", "The offer says a later day; give that one or a later one, or make a new offer.")
}

// complete refuses a record that would prove nothing later.
func (c *JobChange) complete(s shop.Shop, given shop.Consent, held []consent.RecordField, wrong lacks) error {
	wrong.said(given, c.Now())
	wrong.unless(plausibleCopyTo(given.CopyTo), "/copy_to", "This is not an e-mail address; leave it out to send the copy to the customer's own.")
	rule, err := ruleOf(s)
	if err != nil {
		return err
	}
	for _, f := range consent.MissingRecord(forMotorcycles(rule), held) {
		m := missingField(f)
		wrong.unless(false, m.Pointer, m.Message)
	}
	if len(wrong) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Meaning, Code: "app.consent_incomplete",
		Message: "The record of this answer is not complete: " + wrong[0].Message, Fields: wrong}
}

// recordHeld lists what the record itself holds, apart from work and money.
func recordHeld(given shop.Consent) []consent.RecordField {
	held := []consent.RecordField{consent.FieldGivenAt, consent.FieldChannel, consent.FieldReceivedBy}
	if !blank(given.ContactUsed) || given.Method == shop.ConsentMethodInPerson {
		held = append(held, consent.FieldContact)
	}
	if !blank(given.TypedName) {
		held = append(held, consent.FieldPerson)
	}
	if !blank(given.Relation) {
		held = append(held, consent.FieldRole)
	}
	if given.ReadyOn != "" || given.DayStands {
		held = append(held, consent.FieldRevisedDate)
	}
	return held
}

// withoutBlankPerson: a no states no work and no sum, yet who said it, how and
// to whom must be on record.
func withoutBlankPerson(all []consent.RecordField, given shop.Consent) []consent.RecordField {
	held := recordHeld(given)
	var out []consent.RecordField
	for _, f := range all {
		switch f {
		case consent.FieldContact, consent.FieldPerson:
			if !slices.Contains(held, f) {
				continue
			}
		}
		out = append(out, f)
	}
	return out
}

// missingField says where a field that the rule asks for is to be filled in.
func missingField(f consent.RecordField) fault.Field {
	switch f {
	case consent.FieldContact:
		return fault.Field{Pointer: "/contact_used", Message: "Give the number or address used."}
	case consent.FieldPerson:
		return fault.Field{Pointer: "/typed_name", Message: "Give the name of the person who decided."}
	case consent.FieldRole:
		return fault.Field{Pointer: "/relation", Message: "Say who they are to the owner: the owner, or the person the owner named."}
	case consent.FieldRevisedDate:
		return fault.Field{Pointer: "/ready_on", Message: "Say on which day it will be ready (ready_on), or that the promised day stands (day_stands)."}
	case consent.FieldAddedWork:
		return fault.Field{Pointer: "/note", Message: "Say which work it is for."}
	}
	return fault.Field{Pointer: "/offer_id", Message: "The record must state " + strings.ReplaceAll(string(f), "_", " ") + "; name the offer that does."}
}

// finish puts the last fields onto an answer: what was done to give it, what
// that means, and the number of its entry in the work order's journal.
func (c *JobChange) finish(given *shop.Consent) {
	given.Act, given.Meaning = actOf(*given), meaningOf(*given)
	given.JournalSequence = c.head.Sequence + 1
}

// actOf says what the person did to answer: the sign of their intent
// (15 USC 7006(5), UETA section 2(8), from memory).
func actOf(g shop.Consent) string {
	how := map[shop.ShownAs]string{
		shop.ShownAsScreen: "having read it on a screen", shop.ShownAsPaper: "having read it on paper",
		shop.ShownAsReadOut: "having heard the words read out", shop.ShownAsMessage: "having been sent it", shop.ShownAsUnset: "naming it themselves",
	}[g.ShownAs]
	switch g.Method {
	case shop.ConsentMethodLink:
		return "Chose, typed their name, looked at the answer once more, ticked the words and sent them on the page."
	case shop.ConsentMethodSpoken:
		return "Said so on the phone, " + how + ", and said it back."
	case shop.ConsentMethodMessage:
		return "Wrote so in a message, " + how + "."
	}
	return "Said so in the shop, " + how + "."
}

// meaningOf says what the answer means; it claims no more of a signature than
// a simple electronic one (Regulation (EU) 910/2014, Articles 3(10) and 25(1)).
func meaningOf(g shop.Consent) string {
	out := "A no to everything offered: none of it may be done on this answer."
	switch {
	case g.Decision == shop.DecisionAgreed && g.OfferID != "":
		out = "A yes to the way named, for at most the total named, tax included; more work or a higher price needs a new yes."
	case g.Decision == shop.DecisionAgreed:
		out = "A yes to the work named, up to the limit named, tax included; nothing above it."
	case g.OfferID == "":
		out = "A no."
	}
	if g.Method == shop.ConsentMethodLink {
		out += " The typed name is a simple electronic signature and nothing more."
	}
	return out
}
