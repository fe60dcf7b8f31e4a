package app_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

// receiptOf gives the receipt of an answer, checked under the shop's key, and
// the record in it.
func (h *treeHouse) receiptOf(id shop.ConsentID) (journal.Receipt, app.ConsentEvidence) {
	h.t.Helper()
	file, err := h.app.Receipt(h.ctx, h.who, id)
	if err != nil {
		h.t.Fatal(err)
	}
	r, err := journal.ParseReceipt(file.Text)
	if err != nil {
		h.t.Fatal(err)
	}
	keys, err := h.app.JournalKeys(h.ctx, h.who.ShopID)
	if err != nil || len(keys) == 0 {
		h.t.Fatalf("%d keys, %v", len(keys), err)
	}
	if v := journal.VerifyReceipt(r, keys[0].Key); !v.OK() {
		h.t.Fatalf("the receipt does not hold: %s", v.Reason)
	}
	var e app.ConsentEvidence
	if err := json.Unmarshal(r.Record.Bytes, &e); err != nil {
		h.t.Fatal(err)
	}
	return r, e
}

// The receipt in a customer's hands holds the complete record of the answer:
// the very bytes that the server's own record has, with every field that
// applies to the way it was given.
func TestReceiptHoldsTheWholeRecord(t *testing.T) {
	t.Parallel()
	h := newTreeHouse(t, store.Options{Folder: storetest.Folder(t)})
	o, sc := h.asked()
	given, err := h.app.RecordConsent(h.ctx, h.who, h.job.ID, h.spoken(o, sc))
	if err != nil {
		t.Fatal(err)
	}
	r, e := h.receiptOf(given.ID)
	if rec := h.record(given.ID); !bytes.Equal(r.Record.Bytes, rec.Bytes) {
		t.Errorf("the receipt holds another record than the server:\n%s\n%s", r.Record.Bytes, rec.Bytes)
	}
	if lacking := e.Lacking(); len(lacking) > 0 {
		t.Errorf("lacking %v", lacking)
	}
	if !bytes.Equal(r.Document, o.Document) || e.What.Document != string(o.Document) || e.What.DocumentSHA256 != o.SHA256 {
		t.Error("what was shown is not in it, byte for byte")
	}
	for name, held := range map[string]bool{
		"who":        e.Who.Name == "Wren Ashdown" && e.Who.Relation != "" && e.Who.IdentifiedHow != "" && e.Who.ContactUsed == "+1 555 0100",
		"lines":      len(e.What.Lines) == 2 && e.What.Lines[0].Accepted && e.What.Lines[1].Accepted,
		"sums":       e.What.Labour == 9_000 && e.What.Parts == 10_000 && e.What.Tax == 1_568 && e.What.Total == 20_568 && e.What.Revised == 20_568,
		"when":       e.When.ServerTime != "" && e.When.SaidAt != "" && e.When.JournalSequence > 0,
		"how":        e.How.Channel == shop.ConsentMethodSpoken && strings.Contains(e.How.ReadOut, "Gear pair") && app.HashText(e.How.ReadOut) == e.How.ReadOutSHA256,
		"intent":     e.Intent.Act != "" && e.Intent.Wording == given.Wording && e.Intent.Meaning != "" && e.Intent.SaidBack != "",
		"staff":      e.Staff.Name == "Ivo" && e.Staff.Took,
		"copy":       e.CopyTo != "",
		"not ending": e.Ending == nil,
	} {
		if !held {
			t.Errorf("%s: %+v", name, e)
		}
	}
}

// The receipt of an answer by the page tells of the link, the address, the
// browser and the statement on electronic form, and of the lines left.
func TestReceiptOfAnAnswerByLink(t *testing.T) {
	t.Parallel()
	h := newTreeHouse(t, store.Options{Folder: storetest.Folder(t)})
	o, sc := h.asked()
	part := shop.Scope{ID: moneyLoad[shop.Scope](h.moneyBench, string(sc.ID)).ID}
	var doc app.OfferDocument
	if err := json.Unmarshal(o.Document, &doc); err != nil {
		t.Fatal(err)
	}
	for _, w := range doc.Ways {
		if w.ScopeID != sc.ID {
			part.ID = w.ScopeID
		}
	}
	token := h.token(o)
	view, err := h.app.LinkDecide(h.ctx, yes(token, o, part))
	if err != nil {
		t.Fatal(err)
	}
	r, e := h.receiptOf(view.Receipt.ConsentID)
	left := 0
	for _, l := range e.What.Lines {
		if !l.Accepted {
			left++
		}
	}
	if len(e.Lacking()) > 0 || len(e.How.LinkHash) != 64 || e.How.IP == "" || e.How.UserAgent == "" || left != 1 ||
		!e.Electronic.Agreed || e.Electronic.Version != app.ElectronicVersion || e.Electronic.Statement != app.ElectronicStatement(app.ElectronicVersion) {
		t.Errorf("lacking %v, %d left: %+v", e.Lacking(), left, e)
	}
	if bytes.Contains(r.Record.Bytes, []byte(token)) {
		t.Error("the record holds the link's secret")
	}
	byLink, err := h.app.LinkReceiptFile(h.ctx, token)
	if err != nil {
		t.Fatal(err)
	}
	if own, err := r.Encode(); err != nil || !bytes.Equal(own, byLink.Text) {
		t.Errorf("the customer gets another receipt than the shop: %v", err)
	}
}

// A record put right names the one it corrects, in its own evidence; that of
// the old one stays, and still holds.
func TestEvidenceOfACorrection(t *testing.T) {
	t.Parallel()
	h := newTreeHouse(t, store.Options{Folder: storetest.Folder(t)})
	o, sc := h.asked()
	first, err := h.app.RecordConsent(h.ctx, h.who, h.job.ID, h.spoken(o, sc))
	if err != nil {
		t.Fatal(err)
	}
	before, _ := h.receiptOf(first.ID)
	h.clock.Advance(time.Minute)
	again := h.spoken(o, sc)
	again.ContactUsed = "+1 555 0177"
	second, err := h.app.CorrectConsent(h.ctx, h.who, first.ID, app.Correction{Reason: "two figures were swapped", Record: again})
	if err != nil {
		t.Fatal(err)
	}
	after, _ := h.receiptOf(first.ID)
	if !bytes.Equal(before.Record.Bytes, after.Record.Bytes) || before.Record.Salt != after.Record.Salt {
		t.Error("the old record's evidence changed")
	}
	r, e := h.receiptOf(second.ID)
	if e.Corrects != first.ID || e.Who.ContactUsed != "+1 555 0177" || len(e.Lacking()) > 0 || !bytes.Equal(r.Record.Bytes, h.record(second.ID).Bytes) {
		t.Errorf("the new record: %+v", e)
	}
}

// The evidence of a yes taken back holds the yes and the taking back, as full
// as each other; the yes itself stays what it was.
func TestEvidenceOfTakingBack(t *testing.T) {
	t.Parallel()
	h := newTreeHouse(t, store.Options{Folder: storetest.Folder(t)})
	o, sc := h.asked()
	given, err := h.app.RecordConsent(h.ctx, h.who, h.job.ID, h.spoken(o, sc))
	if err != nil {
		t.Fatal(err)
	}
	before := h.record(given.ID)
	h.clock.Advance(time.Minute)
	if _, err := h.app.RevokeConsent(h.ctx, h.who, given.ID, takenBack("sells it as it is")); err != nil {
		t.Fatal(err)
	}
	r, e := h.receiptOf(given.ID)
	end := e.Ending
	if end == nil || end.Kind != shop.EndingKindRevoked || end.Reason != "sells it as it is" || end.Name == "" || end.Relation == "" || end.IdentifiedHow == "" ||
		end.ContactUsed == "" || end.SaidAt == "" || end.ServerTime == "" || end.Staff.ID == "" || len(end.Left) != 2 || end.Wording == "" {
		t.Fatalf("the ending: %+v", end)
	}
	e.Ending = nil
	if yes, err := e.Bytes(); err != nil || !bytes.Equal(yes, before.Bytes) || bytes.Equal(r.Record.Bytes, before.Bytes) {
		t.Errorf("without the ending it is not the yes: %v", err)
	}
	h.read(func(tx app.Tx) error {
		kept, err := tx.EvidenceOf(given.ID, 1)
		if err != nil || !bytes.Equal(kept.Record, before.Bytes) {
			t.Errorf("the evidence of the yes itself: %v", err)
		}
		return nil
	})
}
