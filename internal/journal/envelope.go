package journal

import (
	"bytes"
	"encoding/json"
)

// Envelope is what a body says: the operation itself, sealed under a
// customer's key where it is personal, and beside it what is not personal
// and has to stay readable when the key is gone.
//
// Written down it is {"v":2,"open":{…},"plain":{…}} or, sealed,
// {"v":2,"open":{…},"sealed":"base64"}. Headers commit to these bytes as
// they are stored, so there is no second spelling to agree on.
type Envelope struct {
	Open   json.RawMessage // an object, nil for nothing
	Plain  json.RawMessage // the operation, where nothing in it is personal
	Sealed []byte          // or the operation under the customer's key
}

// ConsentFacts is the open part of a consent's body: enough to show which
// document was answered and how, and nothing of who answered.
type ConsentFacts struct {
	ConsentID string `json:"consent_id"`
	// Version of the consent; 1 when given, higher once taken back.
	Version int64 `json:"consent_version"`
	// Decision is agreed or declined; Revoked says that it was taken back.
	Decision string `json:"decision"`
	Revoked  bool   `json:"revoked,omitempty"`
	// DocumentSHA256 is that of the bytes shown, hexadecimal; empty for a
	// limit given without an offer.
	DocumentSHA256 string `json:"document_sha256,omitempty"`
	// RecordHMAC is Commit of the record's exact bytes under a salt of its
	// own, hexadecimal. Record and salt are kept elsewhere and can be erased.
	RecordHMAC string `json:"record_hmac"`
}

type envelopeForm struct {
	Version int             `json:"v"`
	Open    json.RawMessage `json:"open,omitempty"`
	Plain   json.RawMessage `json:"plain,omitempty"`
	Sealed  []byte          `json:"sealed,omitempty"`
}

const envelopeVersion = 2

// Encode writes the envelope. An error means that it holds both forms of
// the operation or neither, or that a part is no JSON.
func (e Envelope) Encode() ([]byte, error) {
	if (e.Plain == nil) == (e.Sealed == nil) {
		return nil, malformed("a body is either plain or sealed")
	}
	out, err := json.Marshal(envelopeForm{Version: envelopeVersion, Open: e.Open, Plain: e.Plain, Sealed: e.Sealed})
	if err != nil {
		return nil, malformed("a part of the body is no JSON")
	}
	return out, nil
}

// DecodeEnvelope reads a body. Bodies of before there were envelopes are the
// operation itself, sealed or not: keyed says that a customer's key was
// used, which for those nothing else does.
func DecodeEnvelope(body []byte, keyed bool) (Envelope, error) {
	var form envelopeForm
	err := json.Unmarshal(body, &form)
	switch {
	case err == nil && form.Version == envelopeVersion:
		e := Envelope{Open: form.Open, Plain: form.Plain, Sealed: form.Sealed}
		if (e.Plain == nil) == (e.Sealed == nil) {
			return Envelope{}, malformed("a body is either plain or sealed")
		}
		return e, nil
	case keyed:
		return Envelope{Sealed: bytes.Clone(body)}, nil
	case err != nil:
		return Envelope{}, malformed("body is no JSON")
	}
	return Envelope{Plain: bytes.Clone(body)}, nil
}

// Consent reads the open part as that of a consent; not ok where it is none.
func (e Envelope) Consent() (facts ConsentFacts, ok bool) {
	if e.Open == nil {
		return ConsentFacts{}, false
	}
	err := json.Unmarshal(e.Open, &facts)
	return facts, err == nil && facts.ConsentID != "" && facts.RecordHMAC != ""
}
