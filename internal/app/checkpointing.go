package app

import (
	"fmt"
	"time"

	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// trust is the part of a shop's tree that was signed for: the largest
// checkpoint known, in the database or outside it.
type trust struct {
	journal.Checkpoint
	at time.Time // when it was signed; zero where only the file outside knows of it
}

// trusted holds the stored tree against the last checkpoint in the database and
// against the one kept outside, and gives the larger. It refuses a tree that
// ends before what was signed, or whose nodes give another root.
func (a *App) trusted(tx Tx, state TreeState) (trust, error) {
	origin := journal.OriginAfter(string(tx.Shop()), state.Breaks)
	out := trust{Checkpoint: journal.Checkpoint{Origin: origin}}
	if state.Nodes != state.Size {
		return out, miscounted(state)
	}
	kept, err := a.Anchors.Last(tx.Shop())
	if err != nil {
		return out, outside(err)
	}
	last, err := tx.LastCheckpoint()
	if err != nil {
		return out, err
	}
	for _, known := range []struct {
		where, note string
		row         *StoredCheckpoint
	}{{"the file beside the key", kept, nil}, {"the database", noteOf(last), last}} {
		if known.note == "" {
			continue
		}
		c, wrong, err := a.holds(tx, state, known.note, known.row)
		if err != nil {
			return out, err
		}
		if wrong != "" {
			return out, brokenTree(fmt.Sprintf("the last checkpoint in %s: %s", known.where, wrong))
		}
		if c.Origin == origin && c.Size >= out.Size {
			out.Checkpoint = c
		}
	}
	if last != nil && last.Size == out.Size {
		out.at = last.SignedAt
	}
	a.keepAgain(tx, kept, last)
	return out, nil
}

// holds reads a signed checkpoint and says what is wrong with it, in itself,
// with its row where it has one, or with the stored tree.
func (a *App) holds(tx Tx, state TreeState, note string, row *StoredCheckpoint) (c journal.Checkpoint, wrong string, err error) {
	c, wrong, err = a.openNote(note)
	if err == nil && wrong == "" && row != nil {
		wrong = sameAsRow(c, *row)
	}
	if err == nil && wrong == "" {
		wrong, err = contradicts(tx, state, c)
	}
	return c, wrong, err
}

func noteOf(c *StoredCheckpoint) string {
	if c == nil {
		return ""
	}
	return c.Note
}

// sameAsRow says what of a stored checkpoint's columns differs from its note.
func sameAsRow(c journal.Checkpoint, stored StoredCheckpoint) string {
	if c.Size != stored.Size || c.Root != stored.Root {
		return "its row is not what was signed"
	}
	return ""
}

// contradicts says why a signed checkpoint and the stored tree cannot both be
// true, or "".
func contradicts(tx Tx, state TreeState, c journal.Checkpoint) (string, error) {
	shopID, breaks, err := journal.ParseOrigin(c.Origin)
	switch {
	case err != nil || shopID != string(tx.Shop()):
		return "it is of another shop", nil
	case breaks > state.Breaks:
		return "it is of a time after a break that the database does not know", nil
	case c.Size > state.Size:
		return fmt.Sprintf("it counts %d entries and the database has %d: the end is missing, or an old backup was put back", c.Size, state.Size), nil
	}
	tree, err := journal.ReadFrontier(c.Size, tx.Nodes)
	if hasCode(err, "store.tree_damaged") {
		return "nodes of the stored tree are missing or damaged", nil
	}
	if err != nil {
		return "", err
	}
	if tree.Root() != c.Root {
		return fmt.Sprintf("the first %d entries are not those that were signed for", c.Size), nil
	}
	return "", nil
}

// keepAgain keeps the database's checkpoint outside where that has none, as
// after a move to another machine.
func (a *App) keepAgain(tx Tx, kept string, last *StoredCheckpoint) {
	if kept != "" || last == nil {
		return
	}
	scope, note := tx.Shop(), last.Note
	tx.AfterCommit(func() { _ = a.Anchors.Keep(scope, note) })
}

// sign signs for the tree as it stands. It reckons the root anew, from what
// was signed before and the headers of the entries since, and signs that, where
// the stored nodes say the same: so no two of its checkpoints contradict each other, whatever the stored nodes say.
func (a *App) sign(tx Tx, state TreeState, since trust) error {
	tree, err := journal.ReadFrontier(since.Size, tx.Nodes)
	if err != nil {
		return err
	}
	if since.Size > 0 && tree.Root() != since.Root {
		return brokenTree("the stored tree does not give the root that was signed before")
	}
	if err := regrow(tx, &tree, state.Size); err != nil {
		return err
	}
	c := journal.Checkpoint{Origin: journal.OriginAfter(string(tx.Shop()), state.Breaks), Size: tree.Size(), Root: tree.Root()}
	return a.publish(tx, c, since.at)
}

// regrow adds the entries that have a place behind the tree, up to a size.
func regrow(tx Tx, tree *journal.Frontier, size int64) error {
	for tree.Size() < size {
		entries, err := tx.Leaves(tree.Size(), leavesAtOnce)
		if err != nil {
			return err
		}
		var made []journal.Node
		for _, e := range entries {
			leaf, err := leafOf(e)
			if err != nil {
				return err
			}
			if e.Index != tree.Size() {
				return brokenTree(fmt.Sprintf("no entry has the place %d", tree.Size()))
			}
			made = append(made, tree.Append(leaf)...)
		}
		if len(entries) == 0 {
			return brokenTree(fmt.Sprintf("no entry has the place %d", tree.Size()))
		}
		if err := asStored(tx, made); err != nil {
			return err
		}
	}
	return nil
}

// asStored refuses nodes that the store does not hold as they must be.
func asStored(tx Tx, nodes []journal.Node) error {
	ids := make([]journal.NodeID, len(nodes))
	for i, n := range nodes {
		ids[i] = n.ID
	}
	stored, err := tx.Nodes(ids)
	if hasCode(err, "store.tree_damaged") {
		return brokenTree("nodes of the stored tree are missing or damaged")
	}
	if err != nil {
		return err
	}
	for i, n := range nodes {
		if stored[i] != n.Hash {
			return brokenTree(fmt.Sprintf("a node of the stored tree, at place %d, is not that of the stored entries", n.ID.Position()))
		}
	}
	return nil
}

// publish signs a checkpoint, stores it, and keeps it outside once it is
// durable: beside the key, and the first one of a day in the owner's mailbox.
// last is when the one before was signed, or zero.
func (a *App) publish(tx Tx, c journal.Checkpoint, last time.Time) error {
	keys, err := a.Anchors.Signing(c.Origin)
	if err != nil {
		return outside(err)
	}
	note, err := journal.SignCheckpoint(c, keys...)
	if err != nil {
		return outside(err)
	}
	err = tx.AddCheckpoint(StoredCheckpoint{Size: c.Size, Root: c.Root, Note: note, SignedAt: tx.Now()})
	if err != nil {
		return err
	}
	if err := a.mailCheckpoint(tx, note, last); err != nil {
		return err
	}
	scope := tx.Shop()
	tx.AfterCommit(func() {
		if err := a.Anchors.Keep(scope, note); err != nil {
			a.seals.settle(scope, false)
		}
	})
	return nil
}

// mailCheckpoint puts out the letter that takes a checkpoint to the shop's own
// mailbox, where nobody who holds the server can change it. One goes a day, by
// UTC, with the first checkpoint that is signed; where there is no mail server
// or no address, none is put out, or one would wait for every day.
func (a *App) mailCheckpoint(tx Tx, note string, last time.Time) error {
	if last.UTC().Format(time.DateOnly) == tx.Now().UTC().Format(time.DateOnly) {
		return nil
	}
	out := Outgoing{Kind: shop.MessageKindCheckpoint, Way: shop.MessageWayEmail, Content: note}
	why, err := a.notSetUp(tx, shop.Message{Kind: out.Kind, Way: out.Way})
	if err != nil || why != "" {
		return err
	}
	_, err = (&Change{Tx: tx, app: a}).Send(out)
	return err
}
