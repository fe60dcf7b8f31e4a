package app

import (
	"fmt"
	"strings"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// copyLetter is the customer's copy of an answer: what was shown, what was
// said to it, and the fingerprint by which the one belongs to the other. The
// bytes that were shown go with it.
func (a *App) copyLetter(tx Tx, s shop.Shop, m shop.Message) (letter, error) {
	given, err := load[shop.Consent](tx, m.SubjectID)
	if err != nil {
		return letter{}, err
	}
	order, err := load[shop.WorkOrder](tx, string(given.WorkOrderID))
	if err != nil {
		return letter{}, err
	}
	machine, err := load[shop.Machine](tx, string(order.MachineID))
	if err != nil {
		return letter{}, err
	}
	to, err := a.addressee(tx, m)
	if err != nil {
		return letter{}, err
	}
	var l letter
	l.subject = fmt.Sprintf("%s: your copy of %s, work order %d", s.Name, answerName(given), order.Number)
	l.say("%s", greeting(to.name))
	l.say("This is your copy of %s about your %s (work order %d). Please keep it.", answerName(given), machineText(machine), order.Number)
	l.sayAnswer(s, given)
	if given.OfferID != "" {
		if err := l.addOffer(tx, given); err != nil {
			return letter{}, err
		}
	}
	if err := l.addRecord(a, tx, given); err != nil {
		return letter{}, err
	}
	if err := l.addReceipt(a, tx, given); err != nil {
		return letter{}, err
	}
	l.say("%s at once if this is not what you said, or if you did not answer at all.", reach(s))
	l.foot(s)
	return l, nil
}

func answerName(given shop.Consent) string {
	switch {
	case given.RevokedAt != nil:
		return "the answer you took back"
	case given.Decision == shop.DecisionDeclined:
		return "your no"
	}
	return "your yes"
}

// sayAnswer tells what is on record of the answer itself.
func (l *letter) sayAnswer(s shop.Shop, given shop.Consent) {
	zone := zoneOrUTC(s)
	l.say("“%s”", given.Wording)
	who := given.TypedName
	if blank(who) {
		who = "no name given"
	}
	if !blank(given.Relation) {
		who += " (" + given.Relation + ")"
	}
	l.say("Answered by: %s\nWhen: %s\nHow: %s", who, clockWords(given.SaidAt, zone), methodWords(given.Method))
	if given.Decision == shop.DecisionAgreed && given.LimitAmount == nil {
		c := currencyOf(s)
		l.say("At most: %s without tax, %s tax, %s to pay", AmountWords(given.Net, c), AmountWords(given.Tax, c), AmountWords(given.Gross, c))
	}
	if given.RevokedAt != nil {
		l.say("Taken back: %s. What was done before then is done; nothing more starts on this answer.", clockWords(*given.RevokedAt, zone))
	}
}

func methodWords(m shop.ConsentMethod) string {
	switch m {
	case shop.ConsentMethodLink:
		return "on the page of your link"
	case shop.ConsentMethodInPerson:
		return "in person"
	case shop.ConsentMethodMessage:
		return "by message"
	}
	return "spoken, by phone"
}

// addOffer writes out what was shown and adds its bytes, whose fingerprint
// the answer holds.
func (l *letter) addOffer(tx Tx, given shop.Consent) error {
	offer, err := load[shop.Offer](tx, string(given.OfferID))
	if err != nil {
		return err
	}
	doc, err := readDocument(offer)
	if err != nil {
		return err
	}
	l.say("WHAT YOU WERE SHOWN")
	l.sayFound(doc)
	for i := range doc.Ways {
		chosen := doc.Ways[i].ScopeID == given.ScopeID && given.Decision == shop.DecisionAgreed
		l.sayWay(&doc.Ways[i], doc.Currency, chosen)
	}
	for _, caution := range doc.Cautions {
		l.say("%s", caution)
	}
	if !blank(doc.Statement) {
		l.say("%s", doc.Statement)
	}
	name := fmt.Sprintf("offer-%d-%d.json", doc.Number, doc.Offer)
	l.say("The file %s holds exactly what was stored and shown. Its fingerprint (SHA-256), which your answer carries, is\n%s", name, offer.SHA256)
	l.attached = append(l.attached, Attachment{Name: name, Type: "application/json", Bytes: offer.Document})
	return nil
}

func (l *letter) sayFound(doc OfferDocument) {
	for _, c := range doc.Concerns {
		l.say("You told us: %s%s", c.Words, after("\nWe say: ", c.Note))
	}
	for _, f := range doc.Findings {
		line := "We looked at: " + f.Component
		if f.Grade != nil {
			line += fmt.Sprintf("\nCondition: %d of 4 (0 is as new, 4 has failed)", *f.Grade)
		}
		if f.SafeToRide == shop.YesNoNo {
			line += "\nNot safe to ride with."
		}
		l.say("%s%s", line, after("\nNot looked at, because ", f.NotLooked))
	}
}

// sayWay writes out one way forward.
func (l *letter) sayWay(w *OfferWay, c money.Currency, chosen bool) {
	head := "A way forward: " + w.Title
	if chosen {
		head = "THE WAY YOU CHOSE: " + w.Title
	}
	lines := []string{head + after("\n", w.WhatWeDo)}
	for _, line := range w.Lines {
		if line.Certainty == shop.CertaintyPossible {
			lines = append(lines, "- "+line.Description+", only if found: "+amounts(line.Low, line.High, c))
			continue
		}
		lines = append(lines, "- "+line.Description+": "+amounts(line.Low, line.High, c))
	}
	lines = append(lines, "Tax: "+amounts(w.Low.Tax, w.High.Tax, c), "To pay: "+amounts(w.Low.Gross, w.High.Gross, c))
	if w.Deposit != nil && *w.Deposit != 0 {
		lines = append(lines, "Deposit before it starts: "+AmountWords(*w.Deposit, c))
	}
	for _, more := range []string{
		after("Ready at the earliest on ", string(w.EarliestOn)), after("Stays unknown: ", w.StaysUnknown),
		"May you ride it? " + rideAnswer(w.MayRide) + after(" ", w.RideNote), after("Warranty: ", w.Warranty),
	} {
		if more != "" {
			lines = append(lines, more)
		}
	}
	l.say("%s", strings.Join(append(lines, termLines(w.Terms)...), "\n"))
}

func termLines(t *shop.TeardownTerms) []string {
	if t == nil {
		return nil
	}
	var lines []string
	for _, line := range []string{
		after("What comes apart: ", t.AreaOrComponent), after("Cost to take apart: ", t.TeardownCost),
		after("Cost to put back: ", t.ReassemblyCost), after("Parts and work that cannot be used again: ", t.PartsAndLaborDestroyed),
		after("Longest time to put it back: ", t.MaxReassemblyTime), after("Might it never be as it was? ", t.MayPreventRestoration),
	} {
		if line != "" {
			lines = append(lines, line)
		}
	}
	return lines
}

// addRecord adds the whole record on paper, where this server prints.
func (l *letter) addRecord(a *App, tx Tx, given shop.Consent) error {
	if a.Papers == nil {
		return nil
	}
	sheet, err := a.recordSheet(tx, given)
	if err != nil {
		return err
	}
	file, err := a.Papers.RecordSheet("a4", sheet)
	if err != nil {
		return err
	}
	name := "record-" + string(given.ID) + ".pdf"
	l.attached = append(l.attached, Attachment{Name: name, Type: "application/pdf", Bytes: file})
	l.say("The file %s is the whole record of your answer, to read and to print.", name)
	return nil
}

// addReceipt adds the file by which the customer can prove the answer, where
// there is one of it.
func (l *letter) addReceipt(a *App, tx Tx, given shop.Consent) error {
	file, err := a.receipt(tx, given)
	switch {
	case noReceipt(err):
		return nil // the copy goes without it
	case err != nil:
		return err
	}
	l.attached = append(l.attached, Attachment{Name: file.Name, Type: "text/plain", Bytes: file.Text})
	l.say("The file %s is your receipt: with it you can prove, without the shop's help, that this answer was recorded and has not been changed.", file.Name)
	return nil
}

// after puts words before a text, or gives nothing where there is none.
func after(words, text string) string {
	if blank(text) {
		return ""
	}
	return words + strings.TrimSpace(text)
}

// amounts writes a range, or one amount where both ends are the same.
func amounts(low, high money.Amount, c money.Currency) string {
	if low == high {
		return AmountWords(low, c)
	}
	return AmountWords(low, c) + " to " + AmountWords(high, c)
}

func rideAnswer(a shop.RideAnswer) string {
	switch a {
	case shop.RideAnswerYes:
		return "Yes."
	case shop.RideAnswerNo:
		return "No. Do not ride it."
	case shop.RideAnswerAfterWork:
		return "Only after this work is done."
	}
	return "Not known. Do not ride it before you have asked."
}
