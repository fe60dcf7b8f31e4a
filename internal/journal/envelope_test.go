package journal_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/journal"
)

func TestEnvelopeHasTheDocumentedSpelling(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name string
		in   journal.Envelope
		want string
	}{
		{"plain", journal.Envelope{Plain: json.RawMessage(`{"changes":[]}`)}, `{"v":2,"plain":{"changes":[]}}`},
		{"sealed", journal.Envelope{Open: json.RawMessage(`{"a":1}`), Sealed: []byte("xyz")}, `{"v":2,"open":{"a":1},"sealed":"eHl6"}`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, err := tt.in.Encode()
			if err != nil || string(got) != tt.want {
				t.Fatalf("got %s, %v", got, err)
			}
			back, err := journal.DecodeEnvelope(got, false)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.in, back); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestEnvelopeRefuses(t *testing.T) {
	t.Parallel()
	for name, e := range map[string]journal.Envelope{
		"nothing": {}, "both": {Plain: json.RawMessage(`{}`), Sealed: []byte("x")}, "no JSON": {Plain: json.RawMessage(`{`)},
	} {
		if b, err := e.Encode(); err == nil {
			t.Errorf("%s: written as %s", name, b)
		}
	}
	for _, body := range []string{`{"v":2}`, `{"v":2,"plain":{},"sealed":"eA=="}`, `hello`, ``} {
		if e, err := journal.DecodeEnvelope([]byte(body), false); err == nil {
			t.Errorf("%q read as %+v", body, e)
		}
	}
}

// TestBodiesOfBeforeAreRead: a body from before there were envelopes is the
// operation itself.
func TestBodiesOfBeforeAreRead(t *testing.T) {
	t.Parallel()
	old := []byte(`{"changes":[{"noun":"jobs"}]}`)
	e, err := journal.DecodeEnvelope(old, false)
	if err != nil || !bytes.Equal(e.Plain, old) || e.Sealed != nil || e.Open != nil {
		t.Errorf("%+v, %v", e, err)
	}
	rapid.Check(t, func(t *rapid.T) {
		sealed := rapid.SliceOf(rapid.Byte()).Draw(t, "sealed")
		e, err := journal.DecodeEnvelope(sealed, true)
		if err != nil || !bytes.Equal(e.Sealed, sealed) || e.Plain != nil {
			t.Fatalf("%+v, %v", e, err)
		}
	})
}

func TestOpenPartOfAConsent(t *testing.T) {
	t.Parallel()
	want := journal.ConsentFacts{ConsentID: "c-1", Version: 2, Decision: "agreed", Revoked: true, DocumentSHA256: "ab", RecordHMAC: "cd"}
	open, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	const text = `{"consent_id":"c-1","consent_version":2,"decision":"agreed","revoked":true,"document_sha256":"ab","record_hmac":"cd"}`
	if string(open) != text {
		t.Errorf("written %s", open)
	}
	if got, ok := (journal.Envelope{Open: open}).Consent(); !ok || got != want {
		t.Errorf("got %+v %v", got, ok)
	}
	for _, other := range []string{``, `{}`, `[]`, `{"consent_id":"c-1"}`, `{"record_hmac":"cd"}`} {
		e := journal.Envelope{Open: json.RawMessage(other)}
		if other == "" {
			e.Open = nil
		}
		if got, ok := e.Consent(); ok {
			t.Errorf("%q read as %+v", other, got)
		}
	}
}

func FuzzDecodeEnvelope(f *testing.F) {
	f.Add([]byte(`{"v":2,"open":{"a":1},"sealed":"eHl6"}`), true)
	f.Add([]byte(`{"v":2,"plain":{}}`), false)
	f.Fuzz(func(t *testing.T, body []byte, keyed bool) {
		e, err := journal.DecodeEnvelope(body, keyed)
		if err == nil && (e.Plain == nil) == (e.Sealed == nil) {
			t.Fatalf("%q read as %+v", body, e)
		}
	})
}
