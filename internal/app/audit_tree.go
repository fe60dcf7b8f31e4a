package app

import (
	"cmp"
	"fmt"
	"slices"

	"benchtag/internal/journal"
)

// known is a statement of the tree's size and root, by whoever made it.
type known struct {
	journal.Checkpoint
	name    string // of what was kept outside; "" for a stored checkpoint
	breaks  int64
	receipt *journal.Receipt
}

// tree walks the shop's tree leaf by leaf, makes it anew from the headers,
// and holds every root that was ever stated against it.
func (u *audit) tree() error {
	state, err := u.tx.Tree()
	if err != nil {
		return err
	}
	var list []known
	if list, err = u.stated(); err != nil {
		return err
	}
	list = append(list, u.outside(state)...)
	slices.SortStableFunc(list, func(a, b known) int { return cmp.Compare(a.Size, b.Size) })
	t := &treeWalk{audit: u, list: list, breaks: state.Breaks, proved: map[int64][]known{}}
	for _, k := range list {
		if k.receipt != nil && k.breaks == state.Breaks {
			t.proved[int64(k.receipt.Proof.Index)] = append(t.proved[int64(k.receipt.Proof.Index)], k)
		}
	}
	if err := t.walk(); err != nil {
		return err
	}
	u.report.Leaves = t.grown.Size()
	if t.grown.Size() != u.counts.Leaves || u.counts.Leaves+u.counts.Pending != u.counts.Entries || t.nodes != u.counts.Nodes {
		u.fault(AuditFault{What: KindCount, Leaf: -1, Words: fmt.Sprintf(
			"Of %d entries %d have a place in the tree and %d wait for one, and the tree has %d nodes where it should have %d: something is missing or too much.",
			u.counts.Entries, u.counts.Leaves, u.counts.Pending, u.counts.Nodes, t.nodes)})
	}
	return nil
}

// stated reads the stored checkpoints and checks what each says by itself.
func (u *audit) stated() (list []known, err error) {
	u.report.KeysKnown = u.app.Anchors != nil || len(u.want.Keys) > 0
	for after := int64(-1); ; {
		stored, err := u.tx.Checkpoints(after, auditChunk)
		if err != nil {
			u.fault(AuditFault{What: KindUnreadable, Leaf: -1, Words: "A signed checkpoint cannot be read: " + err.Error()})
			return list, u.ctx.Err()
		}
		for _, c := range stored {
			after = c.Size
			u.report.Signed++
			at, wrong := u.open(c.Note)
			if wrong == "" {
				wrong = sameAsRow(at, c)
			}
			if wrong != "" {
				u.fault(AuditFault{What: KindCheckpoint, Leaf: max(c.Size-1, 0), Words: fmt.Sprintf("The signed checkpoint over %d entries does not hold: %s.", c.Size, wrong)})
				continue
			}
			list = append(list, known{Checkpoint: at})
		}
		if len(stored) < auditChunk {
			return list, nil
		}
	}
}

// open reads a note and says what is wrong with it, or "".
func (u *audit) open(note string) (c journal.Checkpoint, wrong string) {
	n, err := journal.ParseNote(note)
	if err == nil {
		c, err = journal.ParseCheckpoint(n.Text)
	}
	if err != nil {
		return c, "it is no signed checkpoint"
	}
	if shopID, err := journal.ShopOf(c.Origin); err != nil || shopID != string(u.tx.Shop()) {
		return c, "it is of another shop"
	}
	if !u.report.KeysKnown {
		return c, ""
	}
	keys := slices.Clone(u.want.Keys)
	for i := range keys {
		keys[i].Name = c.Origin
	}
	if u.app.Anchors != nil {
		own, err := u.app.knownKeys(c.Origin)
		if err != nil {
			return c, "the shop's keys cannot be read"
		}
		keys = append(keys, own...)
	}
	if _, _, err := journal.OpenCheckpoint(note, keys...); err != nil {
		return c, "none of the shop's keys signed it"
	}
	return c, ""
}

// outside reads what was kept outside, the file beside the key included.
func (u *audit) outside(state TreeState) (list []known) {
	anchors := slices.Clone(u.want.Anchors)
	if u.app.Anchors != nil {
		if note, err := u.app.Anchors.Last(u.tx.Shop()); err == nil && note != "" {
			anchors = append(anchors, OutsideAnchor{Name: "the file beside the key", Note: note})
		}
	}
	for _, a := range anchors {
		u.report.Anchors++
		c, wrong := u.open(a.Note)
		if wrong == "" && a.Receipt != nil {
			if v := journal.VerifyReceipt(*a.Receipt); v.Problem != journal.ReceiptSound {
				wrong = v.Reason
			}
		}
		if wrong != "" {
			u.fault(AuditFault{What: KindForeign, Leaf: -1, Words: fmt.Sprintf("%s cannot be used: %s.", a.Name, wrong)})
			continue
		}
		_, breaks, _ := journal.ParseOrigin(c.Origin)
		list = append(list, known{Checkpoint: c, name: a.Name, breaks: breaks, receipt: a.Receipt})
	}
	return list
}

// treeWalk makes the tree anew.
type treeWalk struct {
	*audit
	list   []known           // by size; those passed are taken off
	proved map[int64][]known // receipts by the place they prove
	grown  journal.Frontier
	breaks int64
	nodes  int64
	good   int64 // largest size at which a stated root was right
}

func (t *treeWalk) walk() error {
	t.pass()
	for {
		entries, err := t.tx.Leaves(t.grown.Size(), auditChunk)
		if err != nil {
			t.fault(AuditFault{What: KindUnreadable, Leaf: t.grown.Size(), Words: "A leaf of the shop's tree from here on cannot be read: " + err.Error()})
			return t.ctx.Err()
		}
		for _, e := range entries {
			if e.Index != t.grown.Size() {
				t.fault(AuditFault{What: KindTree, Leaf: t.grown.Size(), StreamID: e.StreamID, Sequence: e.Sequence,
					Words: fmt.Sprintf("The place %d of the shop's tree is empty: an entry was taken out.", t.grown.Size())})
				return nil
			}
			t.leaf(e)
		}
		if len(entries) < auditChunk {
			break
		}
	}
	for _, k := range t.list {
		t.short(k)
	}
	return nil
}

// leaf grows the tree by one entry.
func (t *treeWalk) leaf(e TreeEntry) {
	leaf := journal.Leaf(e.Header)
	made := t.grown.Append(leaf)
	t.nodes += int64(len(made))
	ids := make([]journal.NodeID, len(made))
	for i, n := range made {
		ids[i] = n.ID
	}
	stored, err := t.tx.Nodes(ids)
	same := err == nil && string(e.Hash) == string(leaf[:])
	for i := range made {
		same = same && len(stored) == len(made) && stored[i] == made[i].Hash
	}
	if !same {
		t.fault(AuditFault{What: KindTree, StreamID: e.StreamID, Sequence: e.Sequence, Leaf: e.Index,
			Words: "The shop's tree holds another hash here than the entry gives: one of the two was changed."})
	}
	t.receipts(e)
	t.pass()
}

// receipts holds the entry against the receipts that name its place.
func (t *treeWalk) receipts(e TreeEntry) {
	for _, k := range t.proved[e.Index] {
		if string(k.receipt.Header) != string(e.Header) {
			t.fault(AuditFault{What: KindAnchor, StreamID: e.StreamID, Sequence: e.Sequence, Leaf: e.Index,
				Words: fmt.Sprintf("%s proves that another entry stood here when it was signed: this one was written anew, moved or put in.", k.name)})
		}
	}
}

// pass holds the tree against what was stated of this size.
func (t *treeWalk) pass() {
	for len(t.list) > 0 && t.list[0].Size <= t.grown.Size() {
		k := t.list[0]
		t.list = t.list[1:]
		if k.Size < t.grown.Size() {
			continue
		}
		if k.Root == t.grown.Root() {
			t.good = k.Size
			if k.name != "" {
				t.report.AnchoredTo = k.Size
			}
			continue
		}
		t.differs(k)
	}
}

// differs tells of a root that is not the one stated.
func (t *treeWalk) differs(k known) {
	f := AuditFault{What: KindAnchor, Leaf: t.good,
		Words: fmt.Sprintf("%s was signed over the first %d entries, and these are not the same: something from place %d to %d of the shop's tree was changed, put in, taken out or moved, and the hashes made to fit.",
			k.name, k.Size, t.good, k.Size-1)}
	switch {
	case k.name == "":
		f.What, f.Words = KindCheckpoint, "A stored checkpoint"+f.Words
	case k.breaks < t.breaks:
		return // of a history that was broken since, and the break acknowledged
	}
	// Where the place is known already, this is only what follows from it.
	if slices.ContainsFunc(t.report.Faults, func(g AuditFault) bool { return g.Leaf >= t.good && g.Leaf < k.Size }) {
		f.Leaf = k.Size - 1
	}
	t.fault(f)
}

// short tells of what was stated of a larger tree than there is.
func (t *treeWalk) short(k known) {
	name := k.name
	switch {
	case name == "":
		name = "A stored checkpoint"
	case k.breaks < t.breaks:
		return
	}
	t.fault(AuditFault{What: KindTruncated, Leaf: t.grown.Size(),
		Words: fmt.Sprintf("%s was signed over %d entries, and the shop's tree has %d: the end is missing, or an older backup was put back.", name, k.Size, t.grown.Size())})
}
