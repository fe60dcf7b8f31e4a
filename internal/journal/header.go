// Package journal links the changes of a work order, or of a shop, into a
// chain that shows any later tampering.
//
// It decides how an entry's header is written down, how it is hashed, how
// one entry follows another, and whether a stored chain still holds; and it
// computes the shop's RFC 6962 tree over the entries' leaf hashes. It does
// not decide what is journaled, keeps nothing, and never sees a clock or a
// random source: time and salt are handed in.
//
// A header holds no personal data, only ids and the names of events. What
// happened in detail is the body; the header commits to it by
// HMAC-SHA256 under a salt of its own, so that body and salt can be erased
// and the chain still holds. Sealing the body is the caller's affair.
//
// A chain alone proves order and wholeness only up to its own last entry:
// who can rewrite the whole store can rewrite the whole chain. Verify
// therefore takes heads known from outside (receipts, signed checkpoints)
// and says how far they reach.
package journal

import (
	"encoding/hex"
	"strconv"
	"strings"
	"time"
)

// Version is the version of the header format written by Encode.
const Version = 1

// Hash is a SHA-256 value: a leaf hash, a node of the tree or a commitment.
type Hash [32]byte

// String gives 64 lower-case hexadecimal digits.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// ParseHash reads 64 lower-case hexadecimal digits.
func ParseHash(text string) (Hash, error) {
	var h Hash
	if len(text) != 2*len(h) || strings.ToLower(text) != text {
		return Hash{}, malformed("a hash is 64 lower-case hexadecimal digits")
	}
	_, err := hex.Decode(h[:], []byte(text))
	if err != nil {
		return Hash{}, malformed("a hash is 64 lower-case hexadecimal digits")
	}
	return h, nil
}

// StreamKind says what a chain belongs to.
type StreamKind string

// The kinds of stream.
const (
	WorkOrder StreamKind = "work_order" // one chain for each work order
	Shop      StreamKind = "shop"       // one chain for what belongs to no work order
)

// StreamKinds lists every kind of stream.
func StreamKinds() []StreamKind { return []StreamKind{WorkOrder, Shop} }

// ActorKind says who acted.
type ActorKind string

// The kinds of actor.
const (
	Staff        ActorKind = "staff"         // a signed-in person of the shop
	Tablet       ActorKind = "tablet"        // an enrolled tablet, nobody signed on
	CustomerLink ActorKind = "customer_link" // whoever holds a customer's link
	System       ActorKind = "system"        // the program itself
)

// ActorKinds lists every kind of actor.
func ActorKinds() []ActorKind { return []ActorKind{Staff, Tablet, CustomerLink, System} }

// Stream names one chain.
type Stream struct {
	ShopID string
	Kind   StreamKind
	ID     string // the work order's id; for the shop's own stream, the shop's id
}

// Actor is who acted: the id of a staff member, tablet or link, or the
// name of the part of the program that did.
type Actor struct {
	Kind ActorKind
	ID   string
}

// Subject is the thing that changed and the version it has after the change.
type Subject struct {
	Noun    string // "finding", "line", "work_order"
	ID      string
	Version int64 // 0 for a thing without versions
}

// Event names what happened, "noun.verb" in lower case: "finding.recorded".
type Event string

// Header is the part of an entry that is never changed nor erased.
type Header struct {
	Version  int // of the format; always 1 so far
	Stream   Stream
	Sequence int64     // 1, 2, 3 … without a gap
	Previous Hash      // leaf hash of the entry before; zero for the first
	Time     time.Time // UTC, whole microseconds, years 1 to 9999
	Actor    Actor
	Event    Event
	Subject  Subject
	Body     Hash // commitment, see Commit
}

const (
	maxID     = 64   // bytes of an id
	maxWord   = 64   // bytes of an event or noun
	maxHeader = 1024 // bytes of an encoded header; the true maximum is below
)

// timeLayout always writes six digits, so one instant has one spelling.
const timeLayout = "2006-01-02T15:04:05.000000Z"

// The fields in the order in which they are written.
const (
	magic       = "benchtag-journal"
	fieldShop   = "shop"
	fieldStream = "stream"
	fieldSeq    = "sequence"
	fieldPrev   = "previous"
	fieldTime   = "time"
	fieldActor  = "actor"
	fieldEvent  = "event"
	fieldSubj   = "subject"
	fieldBody   = "body"
)

// Encode writes a header as the bytes that are stored and hashed.
//
// The format is ten lines of ASCII, each ended by one line feed, words
// parted by one space, fields in this fixed order:
//
//	benchtag-journal 1
//	shop <id>
//	stream <kind> <id>
//	sequence <decimal>
//	previous <64 hex>
//	time <YYYY-MM-DDThh:mm:ss.ffffffZ>
//	actor <kind> <id>
//	event <noun.verb>
//	subject <noun> <id> <version>
//	body <64 hex>
//
// No value holds a space or a line feed, so there is one reading of it and
// one spelling of each header. An error means that the header holds a
// value outside the ranges given with its type.
func Encode(h Header) ([]byte, error) {
	err := check(h)
	if err != nil {
		return nil, err
	}
	return render(h), nil
}

// render writes a checked header.
func render(h Header) []byte {
	out := make([]byte, 0, maxHeader/2)
	for _, line := range [...][]string{
		{magic, strconv.Itoa(h.Version)},
		{fieldShop, h.Stream.ShopID},
		{fieldStream, string(h.Stream.Kind), h.Stream.ID},
		{fieldSeq, strconv.FormatInt(h.Sequence, 10)},
		{fieldPrev, h.Previous.String()},
		{fieldTime, h.Time.Format(timeLayout)},
		{fieldActor, string(h.Actor.Kind), h.Actor.ID},
		{fieldEvent, string(h.Event)},
		{fieldSubj, h.Subject.Noun, h.Subject.ID, strconv.FormatInt(h.Subject.Version, 10)},
		{fieldBody, h.Body.String()},
	} {
		for i, word := range line {
			if i > 0 {
				out = append(out, ' ')
			}
			out = append(out, word...)
		}
		out = append(out, '\n')
	}
	return out
}
