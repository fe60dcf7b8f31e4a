package journal

import (
	"bytes"
	"strconv"
	"strings"
	"time"
)

// Error says why a header cannot be written or read. It is never shown to
// a customer: the caller holds a defect or a damaged store.
type Error struct{ Reason string }

// Error gives the reason.
func (e *Error) Error() string { return "journal: " + e.Reason }

func malformed(reason string) error { return &Error{Reason: reason} }

// Decode reads a header. It is strict: for every b that it accepts,
// Encode gives back exactly b.
func Decode(b []byte) (Header, error) {
	if len(b) > maxHeader {
		return Header{}, malformed("header is longer than " + strconv.Itoa(maxHeader) + " bytes")
	}
	r := reader{rest: string(b)}
	h := r.header()
	if r.err != nil {
		return Header{}, r.err
	}
	err := check(h)
	if err != nil {
		return Header{}, err
	}
	// The last word on strictness: signs, leading zeros and other second
	// spellings that the standard library would let through end here.
	if !bytes.Equal(render(h), b) {
		return Header{}, malformed("header is not in its one spelling")
	}
	return h, nil
}

// reader takes lines off the front; the first error sticks.
type reader struct {
	rest string
	err  error
}

func (r *reader) header() Header {
	var h Header
	h.Version = int(r.number(r.line(magic, 1)[0]))
	h.Stream.ShopID = r.line(fieldShop, 1)[0]
	stream := r.line(fieldStream, 2)
	h.Stream.Kind, h.Stream.ID = StreamKind(stream[0]), stream[1]
	h.Sequence = r.number(r.line(fieldSeq, 1)[0])
	h.Previous = r.hash(r.line(fieldPrev, 1)[0])
	h.Time = r.time(r.line(fieldTime, 1)[0])
	actor := r.line(fieldActor, 2)
	h.Actor = Actor{Kind: ActorKind(actor[0]), ID: actor[1]}
	h.Event = Event(r.line(fieldEvent, 1)[0])
	subject := r.line(fieldSubj, 3)
	h.Subject = Subject{Noun: subject[0], ID: subject[1], Version: r.number(subject[2])}
	h.Body = r.hash(r.line(fieldBody, 1)[0])
	if r.rest != "" {
		r.fail("bytes after the last line")
	}
	return h
}

func (r *reader) fail(reason string) {
	if r.err == nil {
		r.err = malformed(reason)
	}
}

// line takes one line and gives its words after the field's name: always
// as many as asked for, empty ones after an error.
func (r *reader) line(field string, words int) []string {
	blank := make([]string, words)
	if r.err != nil {
		return blank
	}
	line, rest, ended := strings.Cut(r.rest, "\n")
	if !ended {
		r.fail("line " + field + " is cut off or missing")
		return blank
	}
	parts := strings.Split(line, " ")
	if parts[0] != field || len(parts) != words+1 {
		r.fail("expected line " + field + " with " + strconv.Itoa(words) + " value(s)")
		return blank
	}
	r.rest = rest
	return parts[1:]
}

func (r *reader) number(text string) int64 {
	if r.err != nil {
		return 0
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		r.fail("a number is not whole and decimal, or too large")
	}
	return n
}

func (r *reader) hash(text string) Hash {
	if r.err != nil {
		return Hash{}
	}
	h, err := ParseHash(text)
	if err != nil {
		r.err = err
	}
	return h
}

func (r *reader) time(text string) time.Time {
	if r.err != nil {
		return time.Time{}
	}
	t, err := time.Parse(timeLayout, text)
	if err != nil {
		r.fail("time is not YYYY-MM-DDThh:mm:ss.ffffffZ")
	}
	return t.UTC()
}

// check reports the first value out of range.
func check(h Header) error {
	if h.Version != Version {
		return malformed("version is not 1")
	}
	if h.Sequence < 1 {
		return malformed("sequence is below 1")
	}
	if (h.Sequence == 1) != (h.Previous == Hash{}) {
		return malformed("previous hash is zero for the first entry, and for no other")
	}
	err := checkTime(h.Time)
	if err != nil {
		return err
	}
	err = checkStream(h.Stream)
	if err != nil {
		return err
	}
	return checkWhat(h.Actor, h.Event, h.Subject)
}

func checkTime(t time.Time) error {
	if t.Location() != time.UTC || t.Nanosecond()%1000 != 0 {
		return malformed("time is not in UTC and whole microseconds")
	}
	if t.Year() < 1 || t.Year() > 9999 {
		return malformed("year is not within 1 to 9999")
	}
	return nil
}

func checkStream(s Stream) error {
	if s.Kind != WorkOrder && s.Kind != Shop {
		return malformed("stream kind is unknown")
	}
	if !isID(s.ShopID) || !isID(s.ID) {
		return malformed("shop or stream id is not 1 to 64 of letters, digits and ._:-")
	}
	return nil
}

func checkWhat(a Actor, e Event, s Subject) error {
	if a.Kind != Staff && a.Kind != Tablet && a.Kind != CustomerLink && a.Kind != System {
		return malformed("actor kind is unknown")
	}
	if !isID(a.ID) || !isID(s.ID) {
		return malformed("actor or subject id is not 1 to 64 of letters, digits and ._:-")
	}
	noun, verb, dotted := strings.Cut(string(e), ".")
	if !dotted || len(e) > maxWord || !isWord(noun) || !isWord(verb) {
		return malformed("event is not noun.verb in lower case")
	}
	if !isWord(s.Noun) {
		return malformed("subject noun is not a lower-case word")
	}
	if s.Version < 0 {
		return malformed("subject version is below 0")
	}
	return nil
}

func isID(s string) bool {
	if len(s) < 1 || len(s) > maxID {
		return false
	}
	for i := range len(s) {
		c := s[i]
		if !isLower(c) && !isDigit(c) && (c < 'A' || c > 'Z') && !strings.ContainsRune("._:-", rune(c)) {
			return false
		}
	}
	return true
}

// isWord reports a letter followed by letters, digits and underscores.
func isWord(s string) bool {
	if len(s) < 1 || len(s) > maxWord || !isLower(s[0]) {
		return false
	}
	for i := range len(s) {
		if !isLower(s[i]) && !isDigit(s[i]) && s[i] != '_' {
			return false
		}
	}
	return true
}

func isLower(c byte) bool { return c >= 'a' && c <= 'z' }
func isDigit(c byte) bool { return c >= '0' && c <= '9' }
