package journal

import (
	"cmp"
	"crypto/hmac"
	"slices"
)

// Body is what a header commits to, with its salt.
type Body struct {
	Salt  Salt
	Bytes []byte
}

// Stored is one entry as the store gives it back.
type Stored struct {
	Bytes []byte // the header
	Hash  Hash   // the leaf hash written beside it
	Body  *Body  // nil when erased
}

// Problem says why a chain does not hold.
type Problem string

// The problems, in the order in which each entry is tried.
const (
	Intact           Problem = ""                    // the chain holds
	HashMismatch     Problem = "hash_mismatch"       // the header's bytes do not give the stored hash
	HeaderMalformed  Problem = "header_malformed"    // the hash fits but the bytes are no header
	StreamMismatch   Problem = "stream_mismatch"     // the entry belongs to another chain
	SequenceGap      Problem = "sequence_gap"        // an entry was removed, doubled or moved
	PreviousMismatch Problem = "previous_mismatch"   // the entry does not follow the one before
	BodyMismatch     Problem = "commitment_mismatch" // body or salt was changed
	AnchorMismatch   Problem = "anchor_mismatch"     // a head known from outside is not in this chain
	Truncated        Problem = "truncated"           // the chain ends before a head known from outside
)

// Problems lists every problem, Intact included.
func Problems() []Problem {
	return []Problem{Intact, HashMismatch, HeaderMalformed, StreamMismatch, SequenceGap,
		PreviousMismatch, BodyMismatch, AnchorMismatch, Truncated}
}

// Report is what Verify found.
type Report struct {
	// Problem is Intact when nothing is wrong.
	Problem Problem
	// BadIndex is the index into the entries of the first bad one: -1 when
	// nothing is wrong, len(entries) when the end is missing.
	BadIndex int
	// Reason is a sentence for whoever runs the check.
	Reason string
	// Checked counts the entries that hold, Erased those of them whose body is gone.
	Checked, Erased int
	// Head is the end of the part that holds.
	Head Head
	// Anchored is the highest sequence vouched for from outside. Behind it
	// a chain cut short or rewritten as a whole cannot be told from a true one.
	Anchored int64
}

// OK reports whether the chain holds.
func (r Report) OK() bool { return r.Problem == Intact }

// Verify checks that entries follow start, one by one and in order, and
// that each anchor (a head known from outside the store) of this stream
// lies on the chain. Start(stream) checks a chain from its beginning.
// Anchors of other streams and from before start are passed over.
func Verify(start Head, entries []Stored, anchors ...Head) Report {
	known := relevant(start, anchors)
	report := Report{BadIndex: -1, Head: start}
	var bad bool
	known, bad = report.passAnchors(known)
	if bad {
		return report.fail(0, AnchorMismatch)
	}
	for i, entry := range entries {
		problem := inspect(report.Head, entry)
		if problem != Intact {
			return report.fail(i, problem)
		}
		before := report.Head
		report.Head.Sequence++
		report.Head.Hash = entry.Hash
		known, bad = report.passAnchors(known)
		if bad {
			report.Head = before
			return report.fail(i, AnchorMismatch)
		}
		report.count(entry)
	}
	if len(known) > 0 {
		return report.fail(len(entries), Truncated)
	}
	return report
}

// relevant gives the stream's anchors from start on, by sequence.
func relevant(start Head, anchors []Head) []Head {
	var known []Head
	for _, a := range anchors {
		if a.Stream == start.Stream && a.Sequence >= start.Sequence {
			known = append(known, a)
		}
	}
	slices.SortStableFunc(known, func(a, b Head) int { return cmp.Compare(a.Sequence, b.Sequence) })
	return known
}

// passAnchors takes off the anchors at the report's head and reports
// whether one of them differs.
func (r *Report) passAnchors(known []Head) (rest []Head, bad bool) {
	for len(known) > 0 && known[0].Sequence == r.Head.Sequence {
		if known[0].Hash != r.Head.Hash {
			return known, true
		}
		r.Anchored = r.Head.Sequence
		known = known[1:]
	}
	return known, false
}

func (r *Report) count(entry Stored) {
	r.Checked++
	if entry.Body == nil {
		r.Erased++
	}
}

func (r Report) fail(index int, problem Problem) Report {
	r.BadIndex, r.Problem, r.Reason = index, problem, problem.sentence()
	return r
}

// inspect tries one entry against the head it should follow.
func inspect(head Head, entry Stored) Problem {
	if Leaf(entry.Bytes) != entry.Hash {
		return HashMismatch
	}
	h, err := Decode(entry.Bytes)
	if err != nil {
		return HeaderMalformed
	}
	if h.Stream != head.Stream {
		return StreamMismatch
	}
	if h.Sequence != head.Sequence+1 {
		return SequenceGap
	}
	if h.Previous != head.Hash {
		return PreviousMismatch
	}
	if entry.Body != nil && !matches(h.Body, *entry.Body) {
		return BodyMismatch
	}
	return Intact
}

func matches(want Hash, body Body) bool {
	got := Commit(body.Salt, body.Bytes)
	return hmac.Equal(want[:], got[:])
}

func (p Problem) sentence() string {
	switch p {
	case HashMismatch:
		return "The header's bytes or the hash beside them were changed after they were written."
	case HeaderMalformed:
		return "The bytes are not a journal header."
	case StreamMismatch:
		return "The entry belongs to another work order or shop."
	case SequenceGap:
		return "An entry before this one is missing, doubled or out of order."
	case PreviousMismatch:
		return "The entry does not follow the one before it: one of the two was replaced."
	case BodyMismatch:
		return "The body or its salt was changed after it was written."
	case AnchorMismatch:
		return "A receipt or checkpoint kept outside names another entry at this place: the chain was rewritten."
	case Truncated:
		return "A receipt or checkpoint kept outside names a later entry: the end of the chain is missing."
	default:
		return ""
	}
}
