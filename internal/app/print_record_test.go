package app_test

import (
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/document"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

// printer keeps what it was given to print.
type printer struct {
	document.Printer
	record app.RecordSheet
	found  app.FindingsSheet
}

func (p *printer) FindingsSheet(paper string, s app.FindingsSheet) ([]byte, error) {
	p.found = s
	return p.Printer.FindingsSheet(paper, s)
}

func (p *printer) RecordSheet(paper string, s app.RecordSheet) ([]byte, error) {
	p.record = s
	return p.Printer.RecordSheet(paper, s)
}

// printed prints the record of an answer and gives all that stands on it.
func (h *treeHouse) printed(id shop.ConsentID) (string, app.RecordSheet) {
	h.t.Helper()
	p := &printer{}
	h.app.Papers, h.app.PublicURL = p, "https://quillmoor.example"
	if _, err := h.app.PrintConsentRecord(h.ctx, h.who, id, "a4"); err != nil {
		h.t.Fatal(err)
	}
	var b strings.Builder
	for _, part := range p.record.Parts {
		b.WriteString(part.Title + "\n")
		for _, r := range part.Rows {
			b.WriteString(r.Name + ": " + r.Words + " | " + r.Sum + "\n")
		}
	}
	return b.String(), p.record
}

// The record of an answer on the phone, on paper: who called whom at which
// number, when, who took it, what was read out and said back, each line, the
// sums, what stays unknown, and by what it can be checked.
func TestPrintedRecordOfACall(t *testing.T) {
	t.Parallel()
	h := newTreeHouse(t, store.Options{Folder: storetest.Folder(t)})
	o, sc := h.asked()
	given, err := h.app.RecordConsent(h.ctx, h.who, h.job.ID, h.spoken(o, sc))
	if err != nil {
		t.Fatal(err)
	}
	text, sheet := h.printed(given.ID)
	keys, err := h.app.JournalKeys(h.ctx, h.who.ShopID)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Answer: YES, to “" + sc.Title + "”, for at most USD 205.68, tax included", "In the words: " + given.Wording,
		"Said back, or written: " + given.SaidBack, "Name: Wren Ashdown", "Relation to the owner: ", "Known by: ", "Number called: +1 555 0100", "Answered at: ",
		"Written down at: ", "How: spoken, by phone; the words were read out to them", "Taken by: Ivo, staff " + string(h.who.StaffID), "Place in the journal: entry ",
		"accepted: Fit the gears (labour) | USD 90.00", "accepted: Gear pair (part) | USD 100.00", "Tax:  | USD 15.68", "Revised total: both together, tax included | USD 205.68",
		"What stays unknown: ", "May it be ridden: ", "SHA-256 of the document: " + o.SHA256, "Copy sent: not noted yet", "Rule: ", "Signed: yes: entry ",
		"SHA-256 of the record: " + h.record(given.ID).SHA256, "Key: " + keys[0].Key.Fingerprint(), "https://quillmoor.example/verify", "SHA-256: " + given.ReadOutSHA256,
		": " + strings.TrimSpace(given.ReadOut)} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on it:\n%s", want, text)
		}
	}
	all := text + strings.Join(append(sheet.Notes, sheet.Answer, sheet.From, sheet.Title), "\n")
	if len(sheet.Notices) != 0 || !strings.Contains(all, "a simple electronic signature") || strings.Contains(strings.ToLower(all), "advanced") {
		t.Errorf("notices %v, and it claims:\n%s", sheet.Notices, all)
	}
}

// What became of an answer stands at the top; and where a row was changed
// beside the program the paper says that it is not what the journal holds.
func TestPrintedRecordTellsWhatBecameOfIt(t *testing.T) {
	t.Parallel()
	h := newTreeHouse(t, store.Options{Folder: storetest.Folder(t)})
	o, sc := h.asked()
	first, err := h.app.RecordConsent(h.ctx, h.who, h.job.ID, h.spoken(o, sc))
	if err != nil {
		t.Fatal(err)
	}
	second, err := h.app.CorrectConsent(h.ctx, h.who, first.ID, app.Correction{Reason: "wrong number", Record: h.spoken(o, sc)})
	if err != nil {
		t.Fatal(err)
	}
	if text, sheet := h.printed(first.ID); len(sheet.Notices) != 1 || !strings.Contains(sheet.Notices[0], string(second.ID)) || strings.Contains(text, "Taken back") {
		t.Errorf("put right: %v", sheet.Notices)
	}
	if text, _ := h.printed(second.ID); !strings.Contains(text, "Puts right the record: "+string(first.ID)) {
		t.Errorf("the new one does not name the old one:\n%s", text)
	}
	h.clock.Advance(time.Minute)
	if _, err := h.app.RevokeConsent(h.ctx, h.who, second.ID, takenBack("sells it")); err != nil {
		t.Fatal(err)
	}
	text, sheet := h.printed(second.ID)
	if len(sheet.Notices) != 1 || !strings.Contains(sheet.Notices[0], "Taken back by the customer") || !strings.Contains(text, "Why: sells it") {
		t.Errorf("taken back: %v\n%s", sheet.Notices, text)
	}
	h.vandal("UPDATE consents SET said_back = 'something else' WHERE id = '" + string(second.ID) + "'")
	if _, sheet := h.printed(second.ID); len(sheet.Notices) != 2 || !strings.Contains(sheet.Notices[1], "not the record that the signed journal commits to") {
		t.Errorf("changed beside the program: %v", sheet.Notices)
	}
}
