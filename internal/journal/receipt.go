package journal

import (
	"bytes"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Receipt is everything that a customer needs to check, without the shop and
// without a network, that an answer of theirs stands in the shop's journal.
type Receipt struct {
	Key      string   // verifier key of the shop's journal, see VerifierKey
	Proof    LogProof // the entry's place under a signed checkpoint
	Header   []byte   // of the entry, as stored
	Body     Body     // of the entry: salt and envelope
	Record   Body     // salt and bytes of the record of the answer, see Evidence
	Document []byte   // exactly what was shown; empty where nothing was
}

// Bounds of a receipt, in bytes.
const (
	MaxReceipt = 8 << 20 // the whole file
	maxSection = 4 << 20 // one part of it
)

// The parts of the file after its head, in their order.
const (
	partKey      = "key"
	partProof    = "proof"
	partHeader   = "header"
	partSalts    = "salts"
	partBody     = "body"
	partRecord   = "record"
	partDocument = "document"
	partEnd      = "end"
	partMark     = "=== "
)

// Encode writes the receipt as one text file.
//
// It starts with a head in plain English (see head), which is made from the
// data below it. Then come the parts key, proof, header, salts, body, record
// and document, each as a line "=== <name> <bytes>", exactly so many bytes,
// and a line feed; then the line "=== end 0" and one more line feed.
//
//	key       the verifier key, C2SP signed-note form
//	proof     the proof, C2SP tlog-proof form (https://c2sp.org/tlog-proof)
//	header    the entry's header as it is hashed
//	salts     two lines: "body <64 hex>" and "record <64 hex>"
//	body      the entry's body, to which the header commits
//	record    the record of the answer, to which the body commits
//	document  what was shown, whose SHA-256 the body names
//
// An error means that a part is not of that form, or out of bounds. Whether
// the parts fit each other is for VerifyReceipt.
func (r Receipt) Encode() ([]byte, error) {
	f, err := r.facts()
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	out.WriteString(head(f))
	for _, part := range r.parts() {
		if len(part.bytes) > maxSection || !utf8.Valid(part.bytes) {
			return nil, malformed("part " + part.name + " of the receipt is too long or no text")
		}
		out.WriteString(partMark + part.name + " " + strconv.Itoa(len(part.bytes)) + "\n")
		out.Write(part.bytes)
		out.WriteByte('\n')
	}
	if out.Len() > MaxReceipt {
		return nil, malformed("the receipt is longer than " + strconv.Itoa(MaxReceipt) + " bytes")
	}
	return out.Bytes(), nil
}

type part struct {
	name  string
	bytes []byte
}

func (r Receipt) parts() []part {
	salts := "body " + Hash(r.Body.Salt).String() + "\nrecord " + Hash(r.Record.Salt).String() + "\n"
	return []part{
		{partKey, []byte(r.Key)}, {partProof, r.Proof.Text()}, {partHeader, r.Header}, {partSalts, []byte(salts)},
		{partBody, r.Body.Bytes}, {partRecord, r.Record.Bytes}, {partDocument, r.Document}, {partEnd, nil},
	}
}

// ParseReceipt reads a receipt. It is strict: for every b that it accepts,
// Encode gives back exactly b. An error says what is wrong in words that a
// customer may read.
func ParseReceipt(b []byte) (Receipt, error) {
	if len(b) > MaxReceipt {
		return Receipt{}, malformed("the file is too large to be a receipt")
	}
	at := bytes.Index(b, []byte("\n"+partMark+partKey+" "))
	if at < 0 || !bytes.HasPrefix(b, []byte(receiptTitle+"\n")) {
		return Receipt{}, malformed("the file is not a receipt, or its beginning was changed")
	}
	r, err := readParts(b[at+1:])
	if err != nil {
		return Receipt{}, err
	}
	again, err := r.Encode()
	if err != nil {
		return Receipt{}, err
	}
	if !bytes.Equal(again, b) {
		return Receipt{}, malformed("the words at the head of the file, or the way it is written, were changed")
	}
	return r, nil
}

// readParts reads what follows the head.
func readParts(b []byte) (Receipt, error) {
	var r Receipt
	found := map[string][]byte{}
	for _, want := range r.parts() {
		content, rest, err := takePart(b, want.name)
		if err != nil {
			return Receipt{}, err
		}
		found[want.name], b = content, rest
	}
	if len(b) > 0 {
		return Receipt{}, malformed("there are bytes after the end of the receipt")
	}
	proof, err := ParseLogProof(found[partProof])
	if err != nil {
		return Receipt{}, err
	}
	r = Receipt{Key: string(found[partKey]), Proof: proof, Header: found[partHeader],
		Body: Body{Bytes: found[partBody]}, Record: Body{Bytes: found[partRecord]}, Document: found[partDocument]}
	return r, r.readSalts(string(found[partSalts]))
}

// takePart takes one part off the front.
func takePart(b []byte, name string) (content, rest []byte, err error) {
	line, rest, ended := bytes.Cut(b, []byte("\n"))
	count, marked := strings.CutPrefix(string(line), partMark+name+" ")
	n, err := strconv.Atoi(count)
	if !ended || !marked || err != nil || n < 0 || n >= len(rest) || rest[n] != '\n' {
		return nil, nil, malformed("part " + name + " of the receipt is missing, cut off or of another length than it says")
	}
	return rest[:n], rest[n+1:], nil
}

func (r *Receipt) readSalts(text string) error {
	body, record, two := strings.Cut(strings.TrimSuffix(text, "\n"), "\n")
	first, isBody := strings.CutPrefix(body, "body ")
	second, isRecord := strings.CutPrefix(record, "record ")
	if !two || !isBody || !isRecord {
		return malformed("the salts of the receipt are not two lines, body and record")
	}
	a, err := ParseHash(first)
	if err != nil {
		return err
	}
	b, err := ParseHash(second)
	if err != nil {
		return err
	}
	r.Body.Salt, r.Record.Salt = Salt(a), Salt(b)
	return nil
}
