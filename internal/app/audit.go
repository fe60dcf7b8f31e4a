package app

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// AuditWanted says what a shop's journal is held against besides itself.
type AuditWanted struct {
	// Anchors are what was kept outside the database.
	Anchors []OutsideAnchor
	// Keys are the shop's keys, besides those in the key folder.
	Keys []journal.VerifierKey
	// Progress is told now and then how many entries are done; it may be nil.
	Progress func(done, of int64)
}

// OutsideAnchor is a receipt or a signed checkpoint kept outside the database.
type OutsideAnchor struct {
	Name    string           // where it came from, for the report
	Note    string           // the signed checkpoint
	Receipt *journal.Receipt // nil for a checkpoint alone
}

// AuditFault is one thing that does not hold.
type AuditFault struct {
	// What names the kind of trouble: one of AuditKinds.
	What string `json:"what"`
	// Words say it to a person.
	Words string `json:"words"`
	// WorkOrder is the number of the work order, 0 for the shop's own journal.
	WorkOrder int64  `json:"work_order,omitempty"`
	StreamID  string `json:"stream_id,omitempty"`
	Sequence  int64  `json:"sequence,omitempty"` // of the entry, 0 where it is about none
	Leaf      int64  `json:"leaf"`               // place in the shop's tree from 0, -1 where it has none
	Noun      string `json:"noun,omitempty"`
	ID        string `json:"id,omitempty"` // of the row
}

// AuditReport is what was found. First is the fault that comes first in the
// order of the shop's tree.
type AuditReport struct {
	OK      bool         `json:"ok"`
	First   *AuditFault  `json:"first,omitempty"`
	Faults  []AuditFault `json:"faults"` // at most maxFaults, the first ones
	More    int64        `json:"more_faults"`
	Streams int64        `json:"streams"`
	Entries int64        `json:"entries"`
	Erased  int64        `json:"bodies_erased"`
	Leaves  int64        `json:"leaves"`
	Pending int64        `json:"pending"`
	Signed  int64        `json:"checkpoints"`
	Answers int64        `json:"records_of_answers"`
	Rows    int64        `json:"rows"`
	Untold  int64        `json:"rows_untold"` // whose entries were erased
	Photos  int64        `json:"photo_files"`
	Anchors int64        `json:"anchors"`
	// AnchoredTo counts the leaves vouched for from outside.
	AnchoredTo int64 `json:"anchored_to"`
	// KeysKnown says that signatures could be checked.
	KeysKnown bool `json:"keys_known"`
	// Limits say what this check cannot tell.
	Limits []string `json:"limits"`
}

// Bounds of an audit.
const (
	maxFaults  = 100
	auditChunk = 500
)

// audit is one under way.
type audit struct {
	app    *App
	ctx    context.Context
	tx     Tx
	want   AuditWanted
	report AuditReport
	counts AuditCounts
	rows   map[rowName]journaled // the last journaled version of each row
	erased bool                  // some bodies are gone, so a row may be known to none
	orders map[string]int64      // stream to work order number
	nouns  map[string]int        // see index
}

// Audit holds a shop's journal, its tree, its signed checkpoints, the rows
// and the photo files against each other, and against what was kept outside.
// It reads one snapshot and changes nothing. Memory grows by some hundred
// bytes for each row of the shop, not with the journal.
func (a *App) Audit(ctx context.Context, scope shop.ShopID, want AuditWanted) (AuditReport, error) {
	u := &audit{app: a, ctx: ctx, want: want, rows: map[rowName]journaled{}, orders: map[string]int64{}}
	err := a.Store.Read(ctx, scope, func(tx Tx) error {
		u.tx = tx
		for _, part := range []func() error{u.count, u.streams, u.tree, u.states, u.files} {
			if err := part(); err != nil {
				return err
			}
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return AuditReport{}, err
	}
	u.finish()
	return u.report, nil
}

func (u *audit) count() (err error) {
	u.counts, err = u.tx.AuditCounts()
	return err
}

// fault notes one thing that does not hold.
func (u *audit) fault(f AuditFault) {
	if f.StreamID != "" && f.StreamID != string(u.tx.Shop()) {
		f.WorkOrder = u.number(f.StreamID)
	}
	at, _ := slices.BinarySearchFunc(u.report.Faults, f, func(a, b AuditFault) int { return cmp.Or(cmp.Compare(order(a), order(b)), -1) })
	u.report.Faults = slices.Insert(u.report.Faults, at, f)
	if len(u.report.Faults) > maxFaults {
		u.report.Faults = u.report.Faults[:maxFaults]
		u.report.More++
	}
}

// order puts what has no place in the tree behind what has.
func order(f AuditFault) int64 {
	if f.Leaf < 0 {
		return 1<<63 - 1
	}
	return f.Leaf
}

// number gives the number of the work order of a stream, 0 where it cannot be read.
func (u *audit) number(stream string) int64 {
	n, known := u.orders[stream]
	if known {
		return n
	}
	var w shop.WorkOrder
	if err := u.tx.Load(&w, stream); err == nil {
		n = w.Number
	}
	u.orders[stream] = n
	return n
}

func (u *audit) finish() {
	r := &u.report
	r.OK = len(r.Faults) == 0
	if !r.OK {
		r.First = &r.Faults[0]
	}
	if r.Faults == nil {
		r.Faults = []AuditFault{}
	}
	r.Limits = u.limits()
}

// limits says plainly what cannot be told.
func (u *audit) limits() []string {
	r, out := u.report, []string{}
	switch {
	case r.Anchors == 0:
		out = append(out, "No receipt or checkpoint from outside was given. Without one it cannot be told whether the end of the journal was cut off, whether an older backup was put back, whether another history was kept beside this one, or whether somebody who holds the database and the key wrote all of it anew.")
	case r.AnchoredTo < r.Entries:
		out = append(out, fmt.Sprintf("What was given from outside vouches for the first %d of %d entries in the shop's tree. For the later ones it cannot be told whether entries were cut off at the end or written anew by somebody who holds the database and the key.", r.AnchoredTo, r.Entries))
	}
	if !r.KeysKnown {
		out = append(out, "No key of the shop was at hand, so no signature was checked: somebody who can write the database could have written all of it anew.")
	}
	if r.Erased > 0 {
		out = append(out, fmt.Sprintf("The contents of %d entries were erased. That they were there, when, and in which order is proved; what they said is not. %d rows are told of by no other entry.", r.Erased, r.Untold))
	}
	if r.Pending > 0 {
		out = append(out, fmt.Sprintf("%d entries have no place in the shop's tree yet; they are chained, but not signed for.", r.Pending))
	}
	if u.app.Blobs == nil {
		out = append(out, "No store of photos was at hand, so photo files were not compared.")
	}
	return append(out, "Sign-ins, counters, waiting messages and devices are not journaled, so changes of them are not looked for.")
}

// streams walks every stream from its beginning.
func (u *audit) streams() error {
	for after := ""; ; {
		heads, err := u.tx.Heads(after, auditChunk)
		if err != nil {
			return err
		}
		for _, head := range heads {
			if err := u.stream(head); err != nil {
				return err
			}
			after = head.Stream.ID
			u.report.Streams++
		}
		if len(heads) < auditChunk {
			break
		}
	}
	if u.report.Entries != u.counts.Entries {
		u.fault(AuditFault{What: KindCount, Leaf: -1, Words: fmt.Sprintf("There are %d entries in the database and %d in its streams: some belong to none.", u.counts.Entries, u.report.Entries)})
	}
	return nil
}

// stream walks one stream.
func (u *audit) stream(end journal.Head) error {
	head, broken, after := journal.Start(end.Stream), false, int64(-1)
	for {
		entries, err := u.tx.Audit(end.Stream.ID, after, auditChunk)
		if err != nil {
			u.fault(AuditFault{What: KindUnreadable, StreamID: end.Stream.ID, Sequence: after + 1, Leaf: -1, Words: "An entry from here on cannot be read: " + err.Error()})
			return u.ctx.Err()
		}
		for _, e := range entries {
			if !broken {
				head, broken = u.link(head, e)
			}
			u.columns(end.Stream.ID, e)
			u.body(end.Stream.ID, e)
			u.report.Entries++
			after = e.Sequence
		}
		if u.want.Progress != nil {
			u.want.Progress(u.report.Entries, u.counts.Entries)
		}
		if len(entries) < auditChunk {
			break
		}
	}
	if !broken && (head.Sequence != end.Sequence || head.Hash != end.Hash) {
		u.fault(AuditFault{What: KindHead, StreamID: end.Stream.ID, Sequence: head.Sequence + 1, Leaf: -1,
			Words: fmt.Sprintf("The journal says that this stream has %d entries, and %d are there that fit: the end is missing or was replaced.", end.Sequence, head.Sequence)})
	}
	return nil
}

// link tries one entry against the end of the chain before it.
func (u *audit) link(head journal.Head, e AuditEntry) (next journal.Head, broken bool) {
	stored := journal.Stored{Bytes: e.Header}
	fits := len(e.Hash) == len(stored.Hash)
	copy(stored.Hash[:], e.Hash)
	if e.HasBody {
		stored.Body = &journal.Body{Bytes: e.Body}
		fits = fits && len(e.Salt) == len(stored.Body.Salt)
		copy(stored.Body.Salt[:], e.Salt)
	} else {
		u.report.Erased++
		u.erased = true
	}
	found := journal.Verify(head, []journal.Stored{stored})
	if fits && found.OK() {
		return found.Head, false
	}
	what, words := string(found.Problem), found.Reason
	if found.OK() {
		what, words = string(journal.HashMismatch), "A hash or salt has not the length it had."
	}
	u.fault(AuditFault{What: what, StreamID: head.Stream.ID, Sequence: e.Sequence, Leaf: e.Leaf, Words: words})
	// Only what the body says is wrong: the chain goes on.
	if found.Problem == journal.BodyMismatch {
		return journal.Head{Stream: head.Stream, Sequence: e.Sequence, Hash: stored.Hash}, false
	}
	return head, true
}

// columns compares what repeats the header beside it.
func (u *audit) columns(stream string, e AuditEntry) {
	h, err := journal.Decode(e.Header)
	if err != nil {
		return // told by link
	}
	got := journal.Header{Time: e.HappenedAt.UTC().Truncate(time.Microsecond), Actor: journal.Actor{Kind: journal.ActorKind(e.ActorKind), ID: e.ActorID},
		Event: journal.Event(e.Event), Subject: journal.Subject{Noun: e.Subject, ID: e.SubjectID, Version: e.SubjectVersion}}
	if !got.Time.Equal(h.Time) || got.Actor != h.Actor || got.Event != h.Event || got.Subject != h.Subject || e.Sequence != h.Sequence {
		u.fault(AuditFault{What: KindColumns, StreamID: stream, Sequence: e.Sequence, Leaf: e.Leaf,
			Words: "Beside the entry stands another time, actor, event or subject than in it: a clock or a name was shifted."})
	}
	if e.Leaf < 0 && !e.Pending {
		u.fault(AuditFault{What: KindUnplaced, StreamID: stream, Sequence: e.Sequence, Leaf: -1, Words: "The entry has no place in the shop's tree and waits for none: its leaf was taken away."})
	}
	if e.Pending {
		u.report.Pending++
	}
}
