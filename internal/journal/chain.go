package journal

import (
	"crypto/hmac"
	"crypto/sha256"
	"time"
)

// Salt is the secret of one body's commitment: 32 random bytes, used once,
// erased together with the body.
type Salt [32]byte

// Commit gives HMAC-SHA256 (RFC 2104, FIPS 180-4) of the body under the
// salt. Without the salt nobody can try out guesses of an erased body.
func Commit(salt Salt, body []byte) Hash {
	mac := hmac.New(sha256.New, salt[:])
	mac.Write(body)
	return Hash(mac.Sum(nil))
}

// Leaf gives the leaf hash of RFC 6962 section 2.1 over the stored bytes of
// a header: SHA-256(0x00 || header).
func Leaf(header []byte) Hash {
	sum := sha256.New()
	sum.Write([]byte{0x00})
	sum.Write(header)
	return Hash(sum.Sum(nil))
}

// Head is the end of a chain: its last sequence and leaf hash.
type Head struct {
	Stream   Stream
	Sequence int64 // 0 for an empty chain
	Hash     Hash  // zero for an empty chain
}

// Start is the head of a chain with no entries yet.
func Start(stream Stream) Head { return Head{Stream: stream} }

// Draft is what the caller says of a new entry; the rest follows from the
// head and the body.
type Draft struct {
	Time    time.Time // cut to microseconds and put into UTC
	Actor   Actor
	Event   Event
	Subject Subject
}

// Entry is a new entry, ready to store: Bytes and Hash as they are.
type Entry struct {
	Header Header
	Bytes  []byte
	Hash   Hash
}

// Append makes the entry that follows head, and the head after it. The
// salt must be fresh; a salt of all zeros is refused, since it means that
// nobody drew one. The caller stores entry, body and salt in the
// transaction that makes the change, under a lock on the head's row.
func Append(head Head, draft Draft, salt Salt, body []byte) (Entry, Head, error) {
	if salt == (Salt{}) {
		return Entry{}, Head{}, malformed("salt was never drawn")
	}
	h := Header{
		Version:  Version,
		Stream:   head.Stream,
		Sequence: head.Sequence + 1,
		Previous: head.Hash,
		Time:     draft.Time.UTC().Truncate(time.Microsecond),
		Actor:    draft.Actor,
		Event:    draft.Event,
		Subject:  draft.Subject,
		Body:     Commit(salt, body),
	}
	b, err := Encode(h)
	if err != nil {
		return Entry{}, Head{}, err
	}
	leaf := Leaf(b)
	return Entry{Header: h, Bytes: b, Hash: leaf}, Head{Stream: head.Stream, Sequence: h.Sequence, Hash: leaf}, nil
}
