package journal

import (
	"crypto/sha256"
	"encoding/json"
)

// Evidence is the open part of a body that records an answer: nothing in it
// is personal, and it commits to what is. A body is a JSON object
//
//	{"v":2,"open":{"consent_id":…,"decision":…,"document_sha256":…,"record_hmac":…},"sealed":…}
//
// and what it seals is not needed to check an answer.
type Evidence struct {
	ConsentID string // of the answer
	Decision  string // "agreed", "declined" or what else the shop records
	Document  Hash   // SHA-256 of what was shown; zero where nothing was
	Record    Hash   // Commit of the record's salt and bytes
}

// evidenceVersion is the "v" of bodies with an open part.
const evidenceVersion = "2"

// ParseEvidence reads the open part of a body. An error means that the body
// has none, or that it records no answer.
func ParseEvidence(body []byte) (Evidence, error) {
	// Through maps, since matching fields to a struct would also take keys
	// written in other letters, which other readers do not.
	var envelope, open map[string]json.RawMessage
	err := json.Unmarshal(body, &envelope)
	if err != nil || string(envelope["v"]) != evidenceVersion {
		return Evidence{}, malformed("the body of the entry has no open part")
	}
	err = json.Unmarshal(envelope["open"], &open)
	if err != nil {
		return Evidence{}, malformed("the body of the entry has no open part")
	}
	var e Evidence
	var document, record string
	for name, to := range map[string]*string{"consent_id": &e.ConsentID, "decision": &e.Decision, "document_sha256": &document, "record_hmac": &record} {
		err = json.Unmarshal(open[name], to)
		if err != nil {
			return Evidence{}, malformed("the entry records no answer: " + name + " is missing in its open part")
		}
	}
	if !isID(e.ConsentID) || !isWord(e.Decision) {
		return Evidence{}, malformed("the open part of the entry names no answer")
	}
	if document != "" {
		e.Document, err = ParseHash(document)
		if err != nil {
			return Evidence{}, err
		}
	}
	e.Record, err = ParseHash(record)
	return e, err
}

// shows reports whether this is the document that the evidence names.
func (e Evidence) shows(document []byte) bool {
	if e.Document == (Hash{}) {
		return len(document) == 0
	}
	return Hash(sha256.Sum256(document)) == e.Document
}
