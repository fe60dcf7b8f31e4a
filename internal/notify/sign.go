package notify

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"strconv"
	"strings"
	"time"
)

// The headers of a signed call (Standard Webhooks, "Webhook headers").
const (
	HeaderID        = "webhook-id"
	HeaderTimestamp = "webhook-timestamp"
	HeaderSignature = "webhook-signature"
)

// Tolerance is how far the time of a call may lie from the receiver's, either
// way (Standard Webhooks' reference libraries use five minutes).
const Tolerance = 5 * time.Minute

// Lengths of a secret, in bytes (Standard Webhooks, "Signature scheme").
const (
	minSecret = 24
	maxSecret = 64
)

// maxSignatures bounds what a receiver looks at in one header.
const maxSignatures = 16

// Sign gives the value of the signature header: one signature a secret,
// "v1," and base64 of HMAC-SHA-256 over "id.timestamp.body", with a blank
// between them (Standard Webhooks, "Signature scheme"). It refuses secrets of
// a wrong length and an id that could be read in two ways.
func Sign(id string, at time.Time, body []byte, secrets ...[]byte) (string, error) {
	if id == "" || strings.Contains(id, ".") {
		return "", errors.New("notify: an id of a call is not empty and holds no dot")
	}
	if len(secrets) == 0 {
		return "", errors.New("notify: no secret to sign with")
	}
	signed := make([]string, len(secrets))
	for i, s := range secrets {
		if len(s) < minSecret || len(s) > maxSecret {
			return "", errors.New("notify: a secret has from 24 to 64 bytes")
		}
		signed[i] = "v1," + base64.StdEncoding.EncodeToString(mac(s, id, strconv.FormatInt(at.Unix(), 10), body))
	}
	return strings.Join(signed, " "), nil
}

func mac(secret []byte, id, timestamp string, body []byte) []byte {
	h := hmac.New(sha256.New, secret)
	h.Write([]byte(id + "." + timestamp + "."))
	h.Write(body)
	return h.Sum(nil)
}

// Signed is what came with a call: its three headers, as received.
type Signed struct {
	ID        string
	Timestamp string
	Signature string
}

// Why a call is not believed.
var (
	ErrHeaders = errors.New("notify: the call lacks a header, or one is not as it must be")
	ErrTime    = errors.New("notify: the call is too old, or from the future")
	ErrForged  = errors.New("notify: no signature of the call is ours")
)

// Verify reports, as an error, a call that is not to be believed: for the
// other end. now is the receiver's time. Whoever has believed a call looks
// its id up among those of the last days, since the same one may come twice.
func Verify(secret []byte, call Signed, body []byte, now time.Time) error {
	seconds, err := strconv.ParseInt(call.Timestamp, 10, 64)
	if err != nil || call.ID == "" || strings.Contains(call.ID, ".") || strconv.FormatInt(seconds, 10) != call.Timestamp {
		return ErrHeaders
	}
	if at := time.Unix(seconds, 0); at.Before(now.Add(-Tolerance)) || at.After(now.Add(Tolerance)) {
		return ErrTime
	}
	given := ParseSignatures(call.Signature)
	if len(given) == 0 {
		return ErrHeaders
	}
	want := mac(secret, call.ID, call.Timestamp, body)
	for _, g := range given {
		if hmac.Equal(g, want) {
			return nil
		}
	}
	return ErrForged
}

// ParseSignatures reads the v1 signatures of a header, at most sixteen; what
// is of another version, or is none, is passed over.
func ParseSignatures(header string) [][]byte {
	var out [][]byte
	for part := range strings.SplitSeq(header, " ") {
		version, text, ok := strings.Cut(part, ",")
		if !ok || version != "v1" {
			continue
		}
		sum, err := base64.StdEncoding.Strict().DecodeString(text)
		if err != nil || len(sum) != sha256.Size {
			continue
		}
		if out = append(out, sum); len(out) == maxSignatures {
			break
		}
	}
	return out
}
