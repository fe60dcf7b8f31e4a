package app

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/consent"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// PrintConsentRecord prints the whole record of an answer, and by what it can
// be checked without the shop. It says what the journal commits to; where the
// rows say something else by now, or nothing is signed yet, it says that first.
func (a *App) PrintConsentRecord(ctx context.Context, who auth.Principal, id shop.ConsentID, paper string) (file []byte, err error) {
	if err := a.noPapers(); err != nil {
		return nil, err
	}
	var sheet RecordSheet
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		given, err := load[shop.Consent](tx, string(id))
		if err != nil {
			return err
		}
		sheet, err = a.recordSheet(tx, given)
		return err
	})
	if err != nil {
		return nil, err
	}
	return a.Papers.RecordSheet(paper, sheet)
}

// recordSheet puts the record of an answer together for paper.
func (a *App) recordSheet(tx Tx, given shop.Consent) (sheet RecordSheet, err error) {
	rec, err := consentRecord(tx, given.ID)
	if err != nil {
		return sheet, err
	}
	s, err := load[shop.Shop](tx, string(tx.Shop()))
	if err != nil {
		return sheet, err
	}
	e, zone := rec.Evidence, zoneOrUTC(s)
	if rec.Ending != nil && rec.Ending.Kind == shop.EndingKindRevoked { // the journal commits to both together
		if e.Ending, err = endingOf(tx, given); err != nil {
			return sheet, err
		}
	}
	sheet = RecordSheet{Title: fmt.Sprintf("Record of an answer, work order %d", e.WorkOrder), Name: string(given.ID), Answer: e.Answer(), From: fromWords(rec.Document, s)}
	if sheet.Parts, err = e.Words(zone); err != nil {
		return sheet, err
	}
	if err := sheet.addRows(tx, given, zone); err != nil {
		return sheet, err
	}
	proof, err := a.proofWords(tx, given, e)
	if err != nil {
		return sheet, err
	}
	sheet.Notices = append(becameOf(given, rec.Ending, zone), proof.warnings...)
	sheet.addParts(ruleWords(rec.Document), proof.section)
	sheet.Notes = []string{
		"Printed on " + recordedAt(microTime(tx.Now()), zone) + ".",
		"This paper is a copy; what counts is the record in the signed journal. It shows what was written down, not who truly spoke. A name typed on a page is a simple electronic signature (Regulation (EU) 910/2014, Article 3(10)) and nothing more.",
		"Consent rules in this program are a reading of the law with a date, not legal advice. The law where the work is done comes first; ask somebody qualified if it matters.",
	}
	return sheet, nil
}

// addRows adds what is not of the record itself: what the answer was about
// where no document says it, and whether the copy has left.
func (s *RecordSheet) addRows(tx Tx, given shop.Consent, zone *time.Location) error {
	for i := range s.Parts {
		if s.Parts[i].Title == formTitle {
			s.Parts[i].say("Copy sent", sentWords(given, zone))
		}
	}
	if given.OfferID != "" {
		return nil
	}
	order, err := load[shop.WorkOrder](tx, string(given.WorkOrderID))
	if err != nil {
		return err
	}
	machine, err := load[shop.Machine](tx, string(order.MachineID))
	if err != nil {
		return err
	}
	job, err := load[shop.Job](tx, string(given.JobID))
	s.Parts[0].say("Machine", machineText(machine))
	s.Parts[0].say("Job", job.Title)
	return err
}

// addParts puts sections before the words that were read out, which are long
// and stand last.
func (s *RecordSheet) addParts(more ...WordSection) {
	at := len(s.Parts)
	if at > 0 && s.Parts[at-1].Title == readOutTitle {
		at--
	}
	var out []WordSection
	out = append(out, s.Parts[:at]...)
	for _, m := range more {
		if len(m.Rows) > 0 {
			out = append(out, m)
		}
	}
	s.Parts = append(out, s.Parts[at:]...)
}

// fromWords is the shop as the document shows it, or as it is now.
func fromWords(doc *OfferDocument, s shop.Shop) string {
	from := OfferShop{Name: s.Name, Phone: s.Phone, Address: s.Address, Registration: s.Registration}
	if doc != nil {
		from = doc.Shop
	}
	words := []string{from.Name}
	for _, more := range []string{strings.Join(strings.Fields(from.Address), " "), after("phone ", from.Phone), after("registration ", from.Registration)} {
		if more != "" {
			words = append(words, more)
		}
	}
	return strings.Join(words, " · ")
}

// becameOf says what became of an answer since.
func becameOf(given shop.Consent, end *shop.ConsentEnding, zone *time.Location) []string {
	switch {
	case end == nil:
		return nil
	case end.Kind == shop.EndingKindCorrected:
		return []string{"This record no longer counts: it was put right by record " + string(end.ReplacedBy) + " on " + clockWords(end.CreatedAt, zone) + ", because: " + end.Reason}
	}
	return []string{"Taken back by the customer on " + clockWords(end.SaidAt, zone) + ". What was done before then stays done and to be paid; nothing more may be done on this answer."}
}

// provedWords is what a paper says of how it can be checked.
type provedWords struct {
	section  WordSection
	warnings []string
}

// proofWords says what the signed journal holds of an answer.
func (a *App) proofWords(tx Tx, given shop.Consent, e ConsentEvidence) (out provedWords, err error) {
	record, err := e.Bytes()
	if err != nil {
		return out, err
	}
	s := &out.section
	s.Title = "How this can be checked"
	s.say("SHA-256 of the record", HashText(string(record)))
	r, v, err := a.proveAnswer(tx, given)
	switch {
	case fault.Is(err, fault.Conflict), fault.Is(err, fault.NotFound), fault.Is(err, fault.Gone):
		var why *fault.Error
		if errors.As(err, &why) {
			s.say("Signed", "no. "+why.Message)
		}
		return out, nil
	case err != nil:
		return out, err
	}
	if string(r.Record.Bytes) != string(record) {
		out.warnings = append(out.warnings, "The rows printed here are not the record that the signed journal commits to: that one has the SHA-256 "+HashText(string(r.Record.Bytes))+". Trust the receipt, not this paper, and find out why.")
	}
	s.say("Signed", fmt.Sprintf("yes: entry %d of the %d signed in the journal %s", v.Index+1, v.Tree.Size, v.Tree.Origin))
	s.say("Key", v.Signer.Fingerprint())
	s.say("How", "Ask for the receipt of this answer, one text file. The page “Check a receipt” ("+a.PublicURL+"/verify), saved once, or the command “benchtag verify” shows with no network at all "+
		"whether one letter of it was changed, and the whole record in words. Compare the key it names with the one above, all of it, or ask for it by phone.")
	return out, nil
}

// ruleWords says by which consent rule the offer was made.
func ruleWords(doc *OfferDocument) WordSection {
	s := WordSection{Title: "The consent rule"}
	var rule consent.Rule
	if doc == nil || json.Unmarshal(doc.Rule, &rule) != nil {
		return s
	}
	s.say("Rule", rule.Name)
	s.say("Source", rule.Citation+after(", read on ", rule.Retrieved)+". "+checkedWords(rule.VerifiedOn))
	return s
}

func checkedWords(on *string) string {
	if on == nil {
		return "Not checked by a person yet."
	}
	return "Checked by a person on " + *on + "."
}

// sentWords says when the copy has left.
func sentWords(given shop.Consent, zone *time.Location) string {
	if given.CopySentAt == nil {
		return "not noted yet"
	}
	return recordedAt(microTime(*given.CopySentAt), zone)
}
