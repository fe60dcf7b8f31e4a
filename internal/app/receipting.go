package app

import (
	"context"
	"slices"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// ReceiptFile is a receipt as it is handed out.
type ReceiptFile struct {
	Name string // for saving it
	Text []byte
}

// Receipt gives the receipt of an answer, which proves itself without this
// server. It is a Conflict fault while nothing is signed for it yet, and Gone
// once the record of the answer was erased.
func (a *App) Receipt(ctx context.Context, who auth.Principal, id shop.ConsentID) (file ReceiptFile, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		given, err := load[shop.Consent](tx, string(id))
		if err != nil {
			return err
		}
		file, err = a.receipt(tx, given)
		return err
	})
	return file, err
}

// LinkReceiptFile gives the receipt of the answer given by a customer's link.
// Like LinkOffer it changes nothing.
func (a *App) LinkReceiptFile(ctx context.Context, token string) (file ReceiptFile, err error) {
	scope, hash, err := a.Tokens.ParseOpaque(TokenLink, token)
	if err != nil {
		return file, linkUnknown()
	}
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		v, err := visit(tx, hash)
		if err != nil {
			return err
		}
		if err := v.dead(tx.Now()); err != nil {
			return err
		}
		if v.offer.State != shop.OfferStateDecided {
			return fault.New(fault.NotFound, "app.answer_missing", "There is no answer here yet, so there is no receipt of one.")
		}
		given, err := decisionOn(tx, v.offer)
		if err != nil {
			return err
		}
		file, err = a.receipt(tx, given)
		return err
	})
	return file, err
}

// receipt gives the receipt of an answer as a file.
func (a *App) receipt(tx Tx, given shop.Consent) (ReceiptFile, error) {
	r, _, err := a.proveAnswer(tx, given)
	if err != nil {
		return ReceiptFile{}, err
	}
	text, err := r.Encode()
	return ReceiptFile{Name: "receipt-" + string(given.ID) + ".txt", Text: text}, err
}

// proveAnswer puts a receipt together, and checks it before it goes out.
func (a *App) proveAnswer(tx Tx, given shop.Consent) (r journal.Receipt, v journal.ReceiptVerdict, err error) {
	if a.Anchors == nil {
		return r, v, notSigned()
	}
	entry, facts, err := answerEntry(tx, given)
	if err != nil {
		return r, v, err
	}
	kept, err := tx.EvidenceOf(given.ID, facts.Version)
	if fault.Is(err, fault.NotFound) {
		return r, v, fault.New(fault.Gone, "app.record_erased", "The record of this answer was erased; a receipt handed out before still holds.")
	}
	if err != nil {
		return r, v, err
	}
	proof, err := proveEntry(tx, string(given.WorkOrderID), entry.Sequence)
	if err != nil {
		return r, v, err
	}
	key, note, err := a.signedOnce(proof.Checkpoint.Note)
	if err != nil {
		return r, v, err
	}
	r = journal.Receipt{Key: key.String(), Proof: journal.LogProof{Index: int(proof.Index), Path: proof.Path, Checkpoint: []byte(note)},
		Header: proof.Header, Body: journal.Body{Salt: journal.Salt(entry.Salt), Bytes: entry.Body},
		Record: journal.Body{Salt: kept.Salt, Bytes: kept.Record}}
	if facts.DocumentSHA256 != "" {
		offer, err := load[shop.Offer](tx, string(given.OfferID))
		if err != nil {
			return r, v, err
		}
		if SumOf(offer.Document) != offer.SHA256 && unseen(tx, given) {
			return r, v, fault.New(fault.Gone, "app.record_sealed", "What was shown is kept under seal with its customer; a receipt handed out before still holds.")
		}
		r.Document = offer.Document
	}
	if v = journal.VerifyReceipt(r, key); !v.OK() {
		return r, v, brokenTree("the receipt of answer " + string(given.ID) + " would not hold: " + v.Reason)
	}
	return r, v, nil
}

// unseen reports that the customer of an answer was restricted or erased.
func unseen(tx Tx, given shop.Consent) bool {
	order, err := load[shop.WorkOrder](tx, string(given.WorkOrderID))
	if err != nil {
		return false
	}
	customer, err := load[shop.Customer](tx, string(order.CustomerID))
	return err == nil && customer.Unseen()
}

// noReceipt reports that there is none to give, which is no failure: nothing
// is signed for yet, the record was erased, or it lies under seal.
func noReceipt(err error) bool {
	return fault.Is(err, fault.Conflict) || fault.Is(err, fault.Gone) || fault.Is(err, fault.NotFound)
}

// answerEntry finds the last entry that tells of an answer with its record:
// that of giving it, or of taking it back.
func answerEntry(tx Tx, given shop.Consent) (found Entry, facts journal.ConsentFacts, err error) {
	for after := int64(0); ; {
		entries, err := tx.Entries(string(given.WorkOrderID), after, MaxRows)
		if err != nil {
			return found, facts, err
		}
		for _, e := range entries {
			after = e.Sequence
			envelope, err := journal.DecodeEnvelope(e.Body, e.KeyedTo != "")
			if !e.HasBody || err != nil {
				continue
			}
			if f, is := envelope.Consent(); is && f.ConsentID == string(given.ID) {
				found, facts = e, f
			}
		}
		if len(entries) < MaxRows {
			break
		}
	}
	if facts.ConsentID == "" || len(found.Salt) != len(journal.Salt{}) {
		return found, facts, fault.New(fault.NotFound, "app.receipt_unknown", "There is no receipt of this answer: it was given before receipts were made, or it was erased.")
	}
	return found, facts, nil
}

// signedOnce gives a checkpoint with the signature of one of our keys alone:
// everything in a receipt must be vouched for by the key in it.
func (a *App) signedOnce(note string) (journal.VerifierKey, string, error) {
	n, err := journal.ParseNote(note)
	if err != nil {
		return journal.VerifierKey{}, "", brokenTree("the last checkpoint is no signed note")
	}
	c, err := journal.ParseCheckpoint(n.Text)
	if err != nil {
		return journal.VerifierKey{}, "", brokenTree("the last checkpoint is none")
	}
	keys, err := a.knownKeys(c.Origin)
	if err != nil {
		return journal.VerifierKey{}, "", err
	}
	for _, k := range keys {
		if n.SignedBy(k) {
			n.Signatures = slices.DeleteFunc(n.Signatures, func(s journal.Signature) bool { return s.Name != k.Name || s.KeyID != k.ID() })
			return k, n.String(), nil
		}
	}
	return journal.VerifierKey{}, "", brokenTree("none of the keys here signed the last checkpoint")
}
