package app

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// WordSection is a part of a record in words: a heading and rows below it.
type WordSection struct {
	Title string
	Rows  []WordRow
}

// WordRow is one fact: its name, what is so, and an amount where it has one.
// A row without a name stands for itself, in lines of its own.
type WordRow struct{ Name, Words, Sum string }

// Titles that a paper looks for: the words that were read out stand last.
const (
	formTitle    = "Form and copy"
	readOutTitle = "Read out, word for word"
)

// say adds a row, unless there is nothing to say.
func (s *WordSection) say(name, words string) {
	if !blank(words) {
		s.Rows = append(s.Rows, WordRow{Name: name, Words: strings.TrimSpace(words)})
	}
}

// sum adds a row with an amount, from one end to the other.
func (s *WordSection) sum(name, words, amount string) {
	s.Rows = append(s.Rows, WordRow{Name: name, Words: words, Sum: amount})
}

// Words puts the whole record into words, in the order in which it is asked
// for: what was answered, by whom, when and how, what to, with which words,
// and where the copy went. Nothing of the record is left out but the bytes of
// the document, which Document gives. Times are told in the zone of the
// document, or in the one given where there is none.
func (e ConsentEvidence) Words(zone *time.Location) ([]WordSection, error) {
	doc, err := e.Document()
	if err != nil {
		return nil, err
	}
	if doc != nil {
		zone = zoneOrUTC(shop.Shop{TimeZone: doc.Shop.TimeZone})
	}
	out := []WordSection{e.answerWords(doc), e.whoWords(), e.whenWords(zone), e.askedWords(doc)}
	if way := e.way(doc); way != nil {
		out = append(out, e.lineWords(), e.sumWords(way), wayWords(doc, way))
	} else if doc != nil {
		out = append(out, e.lineWords())
	}
	out = append(out, e.formWords(zone))
	if e.Ending != nil {
		out = append(out, e.Ending.words(zone))
	}
	if e.How.ReadOut != "" {
		s := WordSection{Title: readOutTitle}
		s.say("SHA-256", e.How.ReadOutSHA256)
		s.say("", e.How.ReadOut)
		out = append(out, s)
	}
	return out, nil
}

// Document reads what was shown, or gives nil where nothing was.
func (e ConsentEvidence) Document() (*OfferDocument, error) {
	if e.What.Document == "" {
		return nil, nil
	}
	var doc OfferDocument
	if err := json.Unmarshal([]byte(e.What.Document), &doc); err != nil {
		return nil, fmt.Errorf("app: read the document of an answer: %w", err)
	}
	return &doc, nil
}

// way is the way forward that was agreed to, or nil.
func (e ConsentEvidence) way(doc *OfferDocument) *OfferWay {
	if doc == nil || e.What.Decision != shop.DecisionAgreed {
		return nil
	}
	return doc.Way(e.What.WayID)
}

// Answer says what was answered, in one line.
func (e ConsentEvidence) Answer() string {
	w := e.What
	switch {
	case w.Decision != shop.DecisionAgreed && w.OfferID != "":
		return "NO, to every way forward offered"
	case w.Decision != shop.DecisionAgreed:
		return "NO"
	case w.Limit != nil:
		return "YES, up to " + AmountWords(*w.Limit, w.Currency) + ", tax included"
	}
	return "YES, to “" + w.WayTitle + "”, for at most " + AmountWords(w.Total, w.Currency) + ", tax included"
}

func (e ConsentEvidence) answerWords(doc *OfferDocument) WordSection {
	s := WordSection{Title: "The answer"}
	s.say("Answer", e.Answer())
	s.say("In the words", e.Intent.Wording)
	s.say("Said back, or written", e.Intent.SaidBack)
	s.say("What was done to answer", e.Intent.Act)
	s.say("What that means", e.Intent.Meaning)
	s.say("Remark", e.Note)
	if doc != nil {
		s.say("Workshop", doc.Shop.Name)
		s.say("Machine", doc.Machine)
		s.say("Job", doc.Job)
	}
	s.say("Work order", strconv.FormatInt(e.WorkOrder, 10))
	s.say("Number of the answer", string(e.ConsentID))
	s.say("Puts right the record", string(e.Corrects))
	return s
}

func (e ConsentEvidence) whoWords() WordSection {
	s := WordSection{Title: "Who answered"}
	s.say("Name", e.Who.Name)
	s.say("Relation to the owner", e.Who.Relation)
	s.say("Known by", e.Who.IdentifiedHow)
	s.say(contactName(e.How.Channel), e.Who.ContactUsed)
	return s
}

// contactName says what the contact of a way of answering is.
func contactName(m shop.ConsentMethod) string {
	switch m {
	case shop.ConsentMethodSpoken:
		return "Number called"
	case shop.ConsentMethodLink:
		return "Link sent to"
	case shop.ConsentMethodMessage:
		return "Message from"
	}
	return "Where"
}

func (e ConsentEvidence) whenWords(zone *time.Location) WordSection {
	s := WordSection{Title: "When and how"}
	s.say("Answered at", recordedAt(e.When.SaidAt, zone))
	s.say("Written down at", recordedAt(e.When.ServerTime, zone)+", by the server’s clock")
	s.say("Time of their device", e.When.DeviceTime)
	s.say("How", channelWords(e.How.Channel)+shownWords(e.How.ShownAs))
	took := "Taken by"
	if !e.Staff.Took {
		took = "Asked by"
	}
	s.say(took, e.Staff.Name+", staff "+string(e.Staff.ID))
	s.say("Network address", e.How.IP)
	s.say("Browser", e.How.UserAgent)
	s.say("Link, SHA-256", e.How.LinkHash)
	s.say("Place in the journal", fmt.Sprintf("entry %d of %s", e.When.JournalSequence, e.When.JournalStream))
	return s
}

// recordedAt writes a moment as both clocks say it.
func recordedAt(text string, zone *time.Location) string {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return text
	}
	return clockWords(t, zone) + ", that is " + t.UTC().Format("2006-01-02 15:04:05.000000") + " UTC"
}

func channelWords(m shop.ConsentMethod) string {
	switch m {
	case shop.ConsentMethodLink:
		return "on the page of the link made for this offer"
	case shop.ConsentMethodInPerson:
		return "in person, in the shop"
	case shop.ConsentMethodMessage:
		return "by message"
	}
	return "spoken, by phone"
}

func shownWords(s shop.ShownAs) string {
	switch s {
	case shop.ShownAsScreen:
		return "; they had the words before them on a screen"
	case shop.ShownAsPaper:
		return "; they had the words before them on paper"
	case shop.ShownAsReadOut:
		return "; the words were read out to them"
	case shop.ShownAsMessage:
		return "; the words were sent to them"
	}
	return ""
}

func (e ConsentEvidence) askedWords(doc *OfferDocument) WordSection {
	s := WordSection{Title: "What was asked"}
	s.say("Kind", strings.ReplaceAll(string(e.What.Kind), "_", " "))
	if doc == nil {
		s.say("Document", "none: the limit was named without an offer")
		return s
	}
	s.say("Offer", fmt.Sprintf("%d of work order %d, asked on %s", e.What.Offer, e.WorkOrder, recordedAt(doc.AskedAt, zoneOrUTC(shop.Shop{TimeZone: doc.Shop.TimeZone}))))
	for i, w := range doc.Ways {
		s.sum(wayName(i), w.Title, amounts(w.Low.Gross, w.High.Gross, doc.Currency))
	}
	s.say("Prices held until", spokenDay(doc.PriceTill))
	s.say("SHA-256 of the document", e.What.DocumentSHA256)
	return s
}

// lineWords lists every line offered, and whether it was accepted.
func (e ConsentEvidence) lineWords() WordSection {
	s := WordSection{Title: "Every line offered"}
	for _, l := range e.What.Lines {
		name := "declined"
		if l.Accepted {
			name = "accepted"
		}
		words := l.Description + " (" + string(l.Kind) + ")"
		if l.Certainty == shop.CertaintyPossible {
			words += ", only if found"
		}
		s.sum(name, words, amounts(l.Low, l.High, e.What.Currency))
	}
	return s
}

func (e ConsentEvidence) sumWords(way *OfferWay) WordSection {
	w := e.What
	s := WordSection{Title: "What it costs, at most"}
	base := "without tax"
	if w.LinesHoldTax {
		base = "tax included"
	}
	for _, row := range []struct {
		name, words string
		amount      money.Amount
	}{{"Labour", base, w.Labour}, {"Parts", base, w.Parts}, {"Other", base, w.Other}, {"Net", "without tax", w.Net}, {"Tax", "", w.Tax},
		{"Total of this way", "tax included", w.Total}, {"Agreed to before", "for this job, tax included", w.Before}, {"Revised total", "both together, tax included", w.Revised}} {
		s.sum(row.name, row.words, AmountWords(row.amount, w.Currency))
	}
	s.sum("From and to", "tax included", amounts(way.Low.Gross, way.High.Gross, w.Currency))
	if way.Deposit != nil && *way.Deposit > 0 {
		s.sum("Deposit", "before it starts", AmountWords(*way.Deposit, w.Currency))
	}
	return s
}

// wayWords says what else of the way chosen was before them.
func wayWords(doc *OfferDocument, way *OfferWay) WordSection {
	s := WordSection{Title: "The way chosen"}
	s.say("What is done", way.WhatWeDo)
	s.say("Ready at the earliest", spokenDay(way.EarliestOn))
	s.say("What stays unknown", orSaid(way.StaysUnknown, "nothing is named"))
	s.say("May it be ridden", rideAnswer(way.MayRide)+after(" ", way.RideNote))
	s.say("Warranty", way.Warranty)
	for _, line := range termLines(way.Terms) {
		name, words, _ := strings.Cut(line, ": ")
		s.say(name, words)
	}
	for _, c := range doc.Cautions {
		s.say("They were told", c)
	}
	return s
}

func (e ConsentEvidence) formWords(zone *time.Location) WordSection {
	s := WordSection{Title: formTitle}
	if e.Electronic.Version != "" {
		s.say("Electronic form", yesNoWords(e.Electronic.Agreed, "agreed to, asked apart", "not agreed to")+"; statement "+e.Electronic.Version)
		s.say("The statement", e.Electronic.Statement)
	} else {
		s.say("Electronic form", "not asked for: "+yesNoWords(e.How.ShownAs == shop.ShownAsUnset, "nothing was shown", "it was not shown electronically"))
	}
	s.say("Day told", spokenDay(e.What.ReadyOn)+yesNoWords(e.What.DayStands, "the promised day stands", ""))
	s.say("Copy to", e.CopyTo)
	return s
}

func yesNoWords(is bool, yes, no string) string {
	if is {
		return yes
	}
	return no
}

func (n EvidenceEnding) words(zone *time.Location) WordSection {
	s := WordSection{Title: "Taken back"}
	s.say("In the words", n.Wording)
	s.say("Why", n.Reason)
	s.say("By", n.Name+", "+n.Relation)
	s.say("Known by", n.IdentifiedHow)
	s.say(contactName(n.Channel), n.ContactUsed)
	s.say("How", channelWords(n.Channel))
	s.say("Said at", recordedAt(n.SaidAt, zone))
	s.say("Said back, or written", n.SaidBack)
	s.say("Written down at", recordedAt(n.ServerTime, zone))
	s.say("Taken by", n.Staff.Name+", staff "+string(n.Staff.ID))
	s.say("Lines done by then", strconv.Itoa(len(n.Done))+after(": ", strings.Join(n.Done, ", ")))
	s.say("Lines left undone", strconv.Itoa(len(n.Left))+after(": ", strings.Join(n.Left, ", ")))
	return s
}

// ReadEvidence reads the record of an answer. It takes nothing but the exact
// bytes that Bytes would write, so that no word of them stays unread; not ok
// for a record of another form.
func ReadEvidence(record []byte) (e ConsentEvidence, ok bool) {
	if err := json.Unmarshal(record, &e); err != nil || e.Version != evidenceVersion {
		return ConsentEvidence{}, false
	}
	again, err := e.Bytes()
	return e, err == nil && string(again) == string(record)
}
