package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
)

// Evidence is what the open part of a body says of an answer: nothing in it
// is personal, and it commits to what is. What the body seals is not needed
// to check an answer.
type Evidence struct {
	ConsentFacts
	Document Hash // SHA-256 of what was shown; zero where nothing was
	Record   Hash // Commit of the record's salt and bytes
}

// ParseEvidence reads the open part of a body. It is strict, so that every
// reader sees the same in it: the body must be written as Envelope writes it
// and its open part as ConsentFacts is written. An error means that it is
// not, or that it records no answer.
func ParseEvidence(body []byte) (Evidence, error) {
	envelope, err := DecodeEnvelope(body, false)
	if err != nil {
		return Evidence{}, err
	}
	facts, is := envelope.Consent()
	if !is || !isID(facts.ConsentID) || !isWord(facts.Decision) {
		return Evidence{}, malformed("the body of the entry records no answer")
	}
	open, err := json.Marshal(facts)
	if err != nil || !bytes.Equal(open, envelope.Open) {
		return Evidence{}, malformed("the open part of the body is not in its one spelling")
	}
	again, err := envelope.Encode()
	if err != nil || !bytes.Equal(again, body) {
		return Evidence{}, malformed("the body is not in its one spelling")
	}
	return facts.evidence()
}

func (f ConsentFacts) evidence() (e Evidence, err error) {
	e.ConsentFacts = f
	if f.DocumentSHA256 != "" {
		e.Document, err = ParseHash(f.DocumentSHA256)
		if err != nil {
			return Evidence{}, err
		}
	}
	e.Record, err = ParseHash(f.RecordHMAC)
	return e, err
}

// shows reports whether this is the document that the evidence names.
func (e Evidence) shows(document []byte) bool {
	if e.DocumentSHA256 == "" {
		return len(document) == 0
	}
	return Hash(sha256.Sum256(document)) == e.Document
}

// answer names the decision, and whether it was taken back.
func (e Evidence) answer() string {
	if e.Revoked {
		return e.Decision + ", and taken back with this entry"
	}
	return e.Decision
}
