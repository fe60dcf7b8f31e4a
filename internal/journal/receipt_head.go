package journal

import (
	"strconv"
	"strings"
)

// receiptTitle is the first line of a receipt. Its number changes with every
// change of the head's words, since they are compared.
const receiptTitle = "benchtag-receipt 1"

// The head's words. They are part of the format: never change them without a
// new number in the title.
const (
	headOpening = receiptTitle + `

RECEIPT OF AN ANSWER GIVEN TO A WORKSHOP

This file holds what was asked and what was answered, and proof that the
workshop wrote the answer into its journal, signed, as it stands here.

`
	headClosing = `
HOW TO CHECK IT, with no network needed
  In a browser, with the page "Check a receipt": the workshop's server gives it
  at /verify. Save the page; it works alone, from a file of yours.
  At a command line: benchtag verify, followed by the name of this file.

  Then compare the signer's key above, all of it, with the key on the
  workshop's printed papers, or ask for it by phone. Anybody can sign with a
  key of their own; only the comparison tells whose it is.

WHAT IT CANNOT PROVE
  Who gave the answer: it shows what was written down of them, no more.
  That the journal was left alone since: keep this file. With it anybody who
  may read the journal can tell whether anything written before it was changed.

Keep the file as it is. If one character of it is changed, anywhere, the check
says so. What follows is for the check; the record and what was shown stand
near the end and can be read.

`
)

// facts are what a receipt's parts say when each is read by itself.
type facts struct {
	header   Header
	evidence Evidence
	key      VerifierKey
	note     Note
	tree     Checkpoint
	place    Place
}

func (r Receipt) facts() (facts, error) {
	var f facts
	var err error
	f.header, err = Decode(r.Header)
	if err != nil {
		return f, err
	}
	f.evidence, err = ParseEvidence(r.Body.Bytes)
	if err != nil {
		return f, err
	}
	f.key, err = ParseVerifierKey(r.Key)
	if err != nil {
		return f, err
	}
	f.note, err = ParseNote(string(r.Proof.Checkpoint))
	if err != nil {
		return f, err
	}
	f.tree, err = ParseCheckpoint(f.note.Text)
	f.place = Place{Index: r.Proof.Index, Size: int(f.tree.Size)}
	return f, err
}

// head writes the words at the beginning of a receipt.
func head(f facts) string {
	var b strings.Builder
	b.WriteString(headOpening)
	for _, line := range [...][2]string{
		{"Answer", f.evidence.answer()},
		{"Written down", f.header.Time.Format("2006-01-02 15:04:05.000000") + " UTC"},
		{"Its number", f.evidence.ConsentID},
		{"Journal", f.tree.Origin},
		{"Place in it", "entry " + strconv.Itoa(f.place.Index+1) + " of " + strconv.Itoa(f.place.Size)},
		{"What was shown", shownWords(f.evidence)},
		{"Signer's key", folded(f.key.Fingerprint())},
	} {
		b.WriteString("  " + line[0] + strings.Repeat(" ", labelWidth-len(line[0])) + line[1] + "\n")
	}
	b.WriteString(headClosing)
	return b.String()
}

const labelWidth = 16

func shownWords(e Evidence) string {
	if e.DocumentSHA256 == "" {
		return "no document; the answer was given without one"
	}
	return folded(grouped(e.Document))
}

// grouped writes a hash as sixteen groups of four digits, as a key's
// fingerprint is written.
func grouped(h Hash) string {
	text := h.String()
	groups := make([]string, 0, len(text)/4)
	for ; len(text) > 0; text = text[4:] {
		groups = append(groups, text[:4])
	}
	return strings.Join(groups, " ")
}

// folded puts sixteen groups on two lines.
func folded(groups string) string {
	half := len(groups) / 2
	return groups[:half] + "\n" + strings.Repeat(" ", 2+labelWidth) + groups[half+1:]
}

// ReceiptHead gives the words at the head of a receipt before and after what
// is said of the one answer, for another checker that compares them.
func ReceiptHead() (opening, closing string) { return headOpening, headClosing }
