package journal

import "slices"

// ReceiptProblem says why a receipt does not hold.
type ReceiptProblem string

// The problems, in the order in which they are looked for.
const (
	ReceiptSound     ReceiptProblem = ""                   // it holds in itself
	ReceiptUnread    ReceiptProblem = "unreadable"         // a part is not in its form
	ReceiptUnsigned  ReceiptProblem = "signature_mismatch" // the checkpoint is not signed by the key in the receipt
	ReceiptOffTree   ReceiptProblem = "not_in_tree"        // the entry is not in the signed journal
	ReceiptForeign   ReceiptProblem = "other_shop"         // the entry belongs to another shop's journal
	ReceiptBody      ReceiptProblem = "body_mismatch"      // the header does not commit to the body
	ReceiptSubject   ReceiptProblem = "subject_mismatch"   // the entry is about something else
	ReceiptRecord    ReceiptProblem = "record_mismatch"    // the body does not commit to the record
	ReceiptDocument  ReceiptProblem = "document_mismatch"  // the body names another document
	ReceiptOtherKey  ReceiptProblem = "other_signer"       // it holds, under a key that is none of those given
	ReceiptManyNames ReceiptProblem = "more_signatures"    // a signature that nothing in the receipt vouches for
)

// ReceiptProblems lists every problem, ReceiptSound included.
func ReceiptProblems() []ReceiptProblem {
	return []ReceiptProblem{ReceiptSound, ReceiptUnread, ReceiptManyNames, ReceiptUnsigned, ReceiptOffTree, ReceiptForeign,
		ReceiptBody, ReceiptSubject, ReceiptRecord, ReceiptDocument, ReceiptOtherKey}
}

// ReceiptVerdict is what VerifyReceipt found. What it says of the entry
// counts only while Problem is ReceiptSound.
type ReceiptVerdict struct {
	Problem ReceiptProblem
	Reason  string // a sentence for whoever checks; also when it holds
	// Compared says that the signer's key is one of those given. Without, the
	// receipt may be anybody's, in a shop's name.
	Compared bool
	Signer   VerifierKey
	Tree     Checkpoint // what was signed
	Index    int        // of the entry in that tree, from 0
	Leaf     Hash       // of the entry
	Entry    Header
	Evidence Evidence
	Record   []byte // the record of the answer, JSON
	Document []byte // what was shown, JSON; empty where nothing was
}

// OK reports whether the receipt holds and is signed by a known key.
func (v ReceiptVerdict) OK() bool { return v.Problem == ReceiptSound && v.Compared }

// VerifyReceipt checks a receipt with nothing but itself and the keys known
// to be the shop's. With no key known it says whether the receipt is sound
// in itself.
//
// The links, each checked: key signs the checkpoint; checkpoint's root holds
// the header (RFC 6962); header commits to the body (HMAC-SHA256); body
// commits to the record (HMAC-SHA256) and names the document (SHA-256). The
// key's name, the header's shop and the entry's subject must be of one shop
// and one answer.
func VerifyReceipt(r Receipt, known ...VerifierKey) ReceiptVerdict {
	f, err := r.facts()
	if err != nil {
		return ReceiptVerdict{Problem: ReceiptUnread, Reason: ReceiptUnread.sentence()}
	}
	v := ReceiptVerdict{Signer: f.key, Tree: f.tree, Index: f.place.Index, Leaf: Leaf(r.Header), Entry: f.header,
		Evidence: f.evidence, Record: r.Record.Bytes, Document: r.Document, Compared: slices.ContainsFunc(known, f.key.isSame)}
	v.Problem = r.problem(f)
	if v.Problem == ReceiptSound && len(known) > 0 && !v.Compared {
		v.Problem = ReceiptOtherKey
	}
	v.Reason = v.Problem.sentence()
	if v.Problem == ReceiptSound && !v.Compared {
		v.Reason = "The receipt is sound in itself. Whose it is shows only when the signer's key is compared with the one on the shop's printed papers."
	}
	return v
}

// isSame reports whether another key is this one and of the same shop. Their
// names may differ: a key signs in the name of the shop's tree, which changes
// when a broken history is gone on with.
func (k VerifierKey) isSame(other VerifierKey) bool {
	mine, err := ShopOf(k.Name)
	if err != nil {
		return k == other
	}
	theirs, err := ShopOf(other.Name)
	return err == nil && mine == theirs && k.Public == other.Public
}

// problem gives the first link that does not hold.
func (r Receipt) problem(f facts) ReceiptProblem {
	shop, err := ShopOf(f.tree.Origin)
	switch {
	case len(f.note.Signatures) != 1:
		return ReceiptManyNames
	case f.key.Name != f.tree.Origin || !f.note.SignedBy(f.key):
		return ReceiptUnsigned
	case !VerifyInclusion(Claim{Leaf: Leaf(r.Header), Place: f.place, Root: f.tree.Root}, r.Proof.Path):
		return ReceiptOffTree
	case err != nil || f.header.Stream.ShopID != shop:
		return ReceiptForeign
	case !matches(f.header.Body, r.Body):
		return ReceiptBody
	case f.header.Subject.ID != f.evidence.ConsentID || f.header.Subject.Version != f.evidence.Version:
		return ReceiptSubject
	case !matches(f.evidence.Record, r.Record):
		return ReceiptRecord
	case !f.evidence.shows(r.Document):
		return ReceiptDocument
	}
	return ReceiptSound
}

func (p ReceiptProblem) sentence() string {
	switch p {
	case ReceiptSound:
		return "The receipt holds, and it is signed by the key that was given."
	case ReceiptUnread:
		return "A part of the receipt cannot be read: it was changed or cut off."
	case ReceiptManyNames:
		return "The receipt bears more signatures than its own key can vouch for."
	case ReceiptUnsigned:
		return "The signature does not hold: what the key signed is something else, or another key signed."
	case ReceiptOffTree:
		return "The entry does not stand in the journal that was signed: the entry or the proof was changed."
	case ReceiptForeign:
		return "The entry belongs to another shop's journal than the one that was signed."
	case ReceiptBody:
		return "What the entry says does not fit the entry: it, or its salt, was changed."
	case ReceiptSubject:
		return "The entry is about another answer than the one named."
	case ReceiptRecord:
		return "The record of the answer does not fit the journal: it, or its salt, was changed."
	case ReceiptDocument:
		return "The document is not the one that was shown: it was changed or swapped."
	case ReceiptOtherKey:
		return "The receipt is sound in itself, but the key that signed it is none of those given: it is not this shop's, or of a time before the shop changed its key."
	default:
		return ""
	}
}
