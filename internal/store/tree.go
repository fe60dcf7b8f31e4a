package store

import (
	"errors"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// LockTree keeps others from growing or signing the shop's tree.
func (t *tx) LockTree() (app.TreeState, error) {
	var state app.TreeState
	if err := one(t.db, stmtTreeLock, []any{string(t.shop)}, &state.Breaks); err != nil {
		return state, err
	}
	// Asked after the lock is held, so that it sees what its last holder wrote.
	return state, t.sizes(&state)
}

// Tree reads where the tree stands.
func (t *tx) Tree() (app.TreeState, error) {
	var state app.TreeState
	if err := one(t.db, stmtTreeBreaks, []any{string(t.shop)}, &state.Breaks); err != nil {
		return state, err
	}
	return state, t.sizes(&state)
}

func (t *tx) sizes(state *app.TreeState) error {
	if err := one(t.db, stmtTreeSize, []any{string(t.shop)}, &state.Size); err != nil {
		return err
	}
	return one(t.db, stmtTreeNodes, []any{string(t.shop)}, &state.Nodes)
}

// Pending lists entries without a place.
func (t *tx) Pending(limit int) ([]app.TreeEntry, error) {
	var list []app.TreeEntry
	err := each(t.db, stmtPending, []any{string(t.shop), limit}, func(scan func(...any) error) error {
		var e app.TreeEntry
		if err := scan(&e.StreamID, &e.Sequence, &e.Header, &e.Hash); err != nil {
			return err
		}
		list = append(list, e)
		return nil
	})
	return list, err
}

// Place gives a pending entry its place.
func (t *tx) Place(e app.TreeEntry, nodes []journal.Node) error {
	if _, err := run(t.db, stmtLeafAdd, string(t.shop), e.Index, e.StreamID, e.Sequence); err != nil {
		return err
	}
	for _, n := range nodes {
		if _, err := run(t.db, stmtNodeAdd, string(t.shop), n.ID.Position(), n.Hash[:]); err != nil {
			return err
		}
	}
	n, err := run(t.db, stmtPendingDrop, string(t.shop), e.StreamID, e.Sequence)
	if err == nil && n != 1 {
		err = fault.New(fault.Internal, "store.entry_not_pending", "An entry of the journal was given a place twice.")
	}
	return err
}

// Nodes reads stored nodes in the order asked.
func (t *tx) Nodes(ids []journal.NodeID) ([]journal.Hash, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	positions := make([]int64, len(ids))
	for i, id := range ids {
		positions[i] = id.Position()
	}
	found := make(map[int64]journal.Hash, len(ids))
	err := each(t.db, stmtNodes, []any{string(t.shop), positions}, func(scan func(...any) error) error {
		var at int64
		var hash []byte
		if err := scan(&at, &hash); err != nil {
			return err
		}
		whole, err := hashOf(hash)
		found[at] = whole
		return err
	})
	if err != nil {
		return nil, err
	}
	out := make([]journal.Hash, len(ids))
	for i, at := range positions {
		hash, there := found[at]
		if !there {
			return nil, damagedTree()
		}
		out[i] = hash
	}
	return out, nil
}

func damagedTree() error {
	return fault.New(fault.Internal, "store.tree_damaged", "The tree over the shop's journal is damaged: run benchtag verify.")
}

func hashOf(stored []byte) (journal.Hash, error) {
	var h journal.Hash
	if len(stored) != len(h) {
		return h, damagedTree()
	}
	copy(h[:], stored)
	return h, nil
}

// Leaves lists entries that have a place.
func (t *tx) Leaves(from int64, limit int) ([]app.TreeEntry, error) {
	var list []app.TreeEntry
	err := each(t.db, stmtLeaves, []any{string(t.shop), from, limit}, func(scan func(...any) error) error {
		var e app.TreeEntry
		if err := scan(&e.Index, &e.StreamID, &e.Sequence, &e.Header, &e.Hash, &e.Node); err != nil {
			return err
		}
		list = append(list, e)
		return nil
	})
	return list, err
}

// LeafOf gives the place of an entry.
func (t *tx) LeafOf(streamID string, sequence int64) (int64, error) {
	if !IsID(streamID) {
		return 0, fault.Missing("entry")
	}
	var index int64
	err := one(t.db, stmtLeafFind, []any{string(t.shop), streamID, sequence}, &index)
	if errors.Is(err, errNoRow) {
		return 0, fault.Missing("entry")
	}
	return index, err
}

// AddCheckpoint stores a signed checkpoint.
func (t *tx) AddCheckpoint(c app.StoredCheckpoint) error {
	_, err := run(t.db, stmtCheckpointAdd, string(t.shop), c.Size, c.Root[:], []byte(c.Note), c.SignedAt)
	return err
}

// LastCheckpoint gives the largest checkpoint.
func (t *tx) LastCheckpoint() (*app.StoredCheckpoint, error) {
	list, err := t.checkpoints(stmtCheckpointLast, string(t.shop))
	if err != nil || len(list) == 0 {
		return nil, err
	}
	return &list[0], nil
}

// Checkpoints lists those larger than a size.
func (t *tx) Checkpoints(after int64, limit int) ([]app.StoredCheckpoint, error) {
	return t.checkpoints(stmtCheckpoints, string(t.shop), after, limit)
}

func (t *tx) checkpoints(s statement, args ...any) ([]app.StoredCheckpoint, error) {
	var list []app.StoredCheckpoint
	err := each(t.db, s, args, func(scan func(...any) error) error {
		var c app.StoredCheckpoint
		var root, note []byte
		if err := scan(&c.Size, &root, &note, &c.SignedAt); err != nil {
			return err
		}
		c.Note = string(note)
		var err error
		c.Root, err = hashOf(root)
		list = append(list, c)
		return err
	})
	return list, err
}

// AddEvidence keeps the record of an answer with its salt.
func (t *tx) AddEvidence(e app.Evidence) error {
	_, err := run(t.db, stmtEvidenceAdd, string(t.shop), string(e.ConsentID), e.Version, e.Salt[:], e.Record)
	return err
}

// EvidenceOf gives the record of a version of a consent.
func (t *tx) EvidenceOf(id shop.ConsentID, version int64) (app.Evidence, error) {
	e := app.Evidence{ConsentID: id, Version: version}
	if !IsID(string(id)) {
		return e, fault.Missing("evidence")
	}
	var salt []byte
	err := one(t.db, stmtEvidence, []any{string(t.shop), string(id), version}, &salt, &e.Record)
	if errors.Is(err, errNoRow) {
		return e, fault.Missing("evidence")
	}
	copy(e.Salt[:], salt)
	return e, err
}
