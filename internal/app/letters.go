package app

import (
	"fmt"
	"html"
	"strings"
	"time"

	"benchtag/internal/shop"
)

// letter is what a message to a person says, in paragraphs; short is the same
// in one breath, for a text message. The words here are the whole catalogue.
type letter struct {
	subject    string
	paragraphs []string
	short      string
	attached   []Attachment
}

func (l *letter) say(format string, args ...any) {
	l.paragraphs = append(l.paragraphs, fmt.Sprintf(format, args...))
}

// text is the letter in plain text.
func (l letter) text() string { return strings.Join(l.paragraphs, "\n\n") + "\n" }

// html is the same letter, word for word, for programs that show nothing
// else: no picture, no style, nothing fetched from anywhere.
func (l letter) html() string {
	var b strings.Builder
	b.WriteString("<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>" + html.EscapeString(l.subject) + "</title></head><body>\n")
	for _, p := range l.paragraphs {
		said := strings.ReplaceAll(html.EscapeString(p), "\n", "<br>\n")
		if strings.HasPrefix(p, "https://") || strings.HasPrefix(p, "http://") {
			said = `<a href="` + said + `">` + said + `</a>`
		}
		b.WriteString("<p>" + said + "</p>\n")
	}
	b.WriteString("</body></html>\n")
	return b.String()
}

// greeting names nobody who is not known by name.
func greeting(name string) string {
	if blank(name) {
		return "Hello,"
	}
	return "Hello " + name + ","
}

// foot is how the shop is reached, and its caution.
func (l *letter) foot(s shop.Shop) {
	lines := []string{s.Name}
	for _, more := range []string{s.Address, s.Phone, s.Email, s.Registration} {
		if !blank(more) {
			lines = append(lines, more)
		}
	}
	l.say("%s", strings.Join(lines, "\n"))
	if !blank(s.Caution) {
		l.say("%s", s.Caution)
	}
}

// reach says how to ask the shop.
func reach(s shop.Shop) string {
	switch {
	case !blank(s.Phone):
		return "Call " + s.Phone
	case !blank(s.Email):
		return "Write to " + s.Email
	}
	return "Ask the shop"
}

// linkLetter takes a customer to their offer. A link that has had its time is
// not sent: it would lead to a closed door.
func (a *App) linkLetter(tx Tx, s shop.Shop, m shop.Message) (letter, Delivery, error) {
	link, err := load[shop.OfferLink](tx, m.SubjectID)
	if err != nil {
		return letter{}, Delivery{}, err
	}
	offer, err := load[shop.Offer](tx, string(link.OfferID))
	if err != nil {
		return letter{}, Delivery{}, err
	}
	if link.RevokedAt != nil || link.UsedAt != nil || offer.State != shop.OfferStateOpen || !tx.Now().Before(link.DecideUntil) {
		return letter{}, Delivery{Result: Pointless, Words: "The link had ended, or its offer was answered or changed, before it could be sent. Nothing went out."}, nil
	}
	address, err := a.Vault.Open(sealPlace(m.TableName(), m.ShopID, string(m.ID)), m.Sealed)
	if err != nil {
		return letter{}, Delivery{Result: Refused, Words: "The link cannot be read any more: the keys were changed, or it was sent before. Make a new link."}, nil
	}
	doc, err := readDocument(offer)
	if err != nil {
		return letter{}, Delivery{}, err
	}
	to, err := a.addressee(tx, m)
	if err != nil {
		return letter{}, Delivery{}, err
	}
	till := clockWords(link.DecideUntil, zoneOrUTC(s))
	var l letter
	l.subject = fmt.Sprintf("%s: a question about your %s, work order %d", s.Name, doc.Machine, doc.Number)
	l.short = fmt.Sprintf("%s: we have a question about your %s (work order %d). Please read it and answer by %s: %s", s.Name, doc.Machine, doc.Number, till, address)
	l.say("%s", greeting(to.name))
	l.say("We looked at your %s (work order %d) and need your answer before we go on. This page shows what we found, what we can do and what it costs:", doc.Machine, doc.Number)
	l.say("%s", address)
	l.say("Please answer by %s. Nothing starts without your answer. The page is for you alone: whoever has its address can answer in your place, so do not pass it on.", till)
	l.say("%s if you have a question, or if you would rather answer by phone or on paper.", reach(s))
	l.foot(s)
	return l, Delivery{}, nil
}

// checkpointLetter keeps the state of the journal outside the shop's server.
func checkpointLetter(s shop.Shop, m shop.Message) letter {
	var l letter
	l.subject = fmt.Sprintf("%s: the state of your journal on %s", s.Name, m.CreatedAt.In(zoneOrUTC(s)).Format("2 January 2006"))
	l.say("Keep this letter. It holds the signed state of your shop's journal. If anyone changes an older entry later, on purpose or by accident, this letter shows it.")
	l.say("%s", strings.TrimRight(m.Content, "\n"))
	l.say("You need to do nothing now. Leave it in your mailbox, away from the server. On the day you need it, whoever keeps the server runs “benchtag verify --shop %s --anchor FILE”, with this letter saved as the file.", s.Slug)
	l.attached = []Attachment{{Name: "checkpoint.txt", Type: "text/plain", Bytes: []byte(m.Content)}}
	return l
}

// testLetter shows that a way out works.
func testLetter(s shop.Shop) letter {
	var l letter
	l.subject = s.Name + ": a test"
	l.short = s.Name + ": this is a test. You need to do nothing."
	l.say("This is a test. %s can send messages this way. You need to do nothing.", s.Name)
	l.foot(s)
	return l
}

// zoneOrUTC gives the shop's zone.
func zoneOrUTC(s shop.Shop) *time.Location {
	zone, err := time.LoadLocation(s.TimeZone)
	if err != nil || s.TimeZone == "" || s.TimeZone == "Local" {
		return time.UTC
	}
	return zone
}

// clockWords writes a moment in full and says by which clock.
func clockWords(t time.Time, zone *time.Location) string {
	return t.In(zone).Format("Monday 2 January 2006, 15:04 (UTC-07:00)")
}
