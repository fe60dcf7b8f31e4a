package app

import (
	"context"
	"strconv"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// EntryProof shows that an entry of a journal is in the tree that a signed
// checkpoint states.
type EntryProof struct {
	Header     []byte
	Hash       journal.Hash // its leaf
	Index      int64
	Path       []journal.Hash // RFC 6962 section 2.1.1, lowest first
	Checkpoint StoredCheckpoint
}

// ProveEntry proves an entry under the last checkpoint. The proof is checked
// before it is given: nothing that does not hold leaves the server.
func (a *App) ProveEntry(ctx context.Context, who auth.Principal, streamID string, sequence int64) (p EntryProof, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		p, err = proveEntry(tx, streamID, sequence)
		return err
	})
	return p, err
}

func proveEntry(tx Tx, streamID string, sequence int64) (EntryProof, error) {
	entries, err := tx.Entries(streamID, sequence-1, 1)
	if err != nil {
		return EntryProof{}, err
	}
	if len(entries) == 0 || entries[0].Sequence != sequence {
		return EntryProof{}, fault.Missing("entry")
	}
	p := EntryProof{Header: entries[0].Header, Hash: journal.Leaf(entries[0].Header)}
	index, err := tx.LeafOf(streamID, sequence)
	if fault.Is(err, fault.NotFound) {
		return p, notSigned()
	}
	if err != nil {
		return p, err
	}
	last, err := tx.LastCheckpoint()
	if err != nil {
		return p, err
	}
	if last == nil || last.Size <= index {
		return p, notSigned()
	}
	p.Index, p.Checkpoint = index, *last
	at := journal.Place{Index: int(index), Size: int(last.Size)}
	if p.Path, err = journal.ReadInclusion(at, tx.Nodes); err != nil {
		return p, err
	}
	if !journal.VerifyInclusion(journal.Claim{Leaf: p.Hash, Place: at, Root: last.Root}, p.Path) {
		return p, brokenTree("entry " + strconv.FormatInt(sequence, 10) + " of stream " + streamID + " is not the one that was signed for")
	}
	return p, nil
}

func notSigned() error {
	return fault.New(fault.Conflict, "app.entry_not_signed", "No signed checkpoint covers this entry yet; one comes with the next answer of a customer, and within a day in any case.")
}

// GrowthProof shows that a tree is a beginning of a later one.
type GrowthProof struct {
	From, To journal.Tree
	Path     []journal.Hash // RFC 6962 section 2.1.2
}

// ProveGrowth proves that the tree of the first from entries is a beginning of
// that of the first to; to = 0 means that of the last checkpoint.
func (a *App) ProveGrowth(ctx context.Context, who auth.Principal, from, to int64) (p GrowthProof, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		p, err = proveGrowth(tx, from, to)
		return err
	})
	return p, err
}

func proveGrowth(tx Tx, from, to int64) (p GrowthProof, err error) {
	state, err := tx.Tree()
	if err != nil {
		return p, err
	}
	if to == 0 {
		last, err := tx.LastCheckpoint()
		if err != nil {
			return p, err
		}
		if last == nil {
			return p, noCheckpoint()
		}
		to = last.Size
	}
	if from < 1 || from > to || to > state.Size {
		return p, fault.New(fault.Shape, "app.tree_sizes_wrong", "Give sizes from 1 to that of the tree, the older one in from and the newer one in to.")
	}
	if p.From, err = treeOf(tx, from); err != nil {
		return p, err
	}
	if p.To, err = treeOf(tx, to); err != nil {
		return p, err
	}
	if p.Path, err = journal.ReadConsistency(journal.Place{Index: int(from), Size: int(to)}, tx.Nodes); err != nil {
		return p, err
	}
	if !journal.VerifyConsistency(journal.Growth{Old: p.From, New: p.To}, p.Path) {
		return p, brokenTree("the nodes of the stored tree do not agree with each other")
	}
	return p, nil
}

func treeOf(tx Tx, size int64) (journal.Tree, error) {
	f, err := journal.ReadFrontier(size, tx.Nodes)
	return journal.Tree{Size: int(size), Root: f.Root()}, err
}

func noCheckpoint() error {
	return fault.New(fault.NotFound, "app.no_checkpoint", "Nothing is signed for yet; the first checkpoint comes within a minute of the start.")
}

// LastCheckpoint gives the last signed checkpoint of the shop.
func (a *App) LastCheckpoint(ctx context.Context, who auth.Principal) (c StoredCheckpoint, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		last, err := tx.LastCheckpoint()
		if err == nil && last == nil {
			err = noCheckpoint()
		}
		if err == nil {
			c = *last
		}
		return err
	})
	return c, err
}

// Key is the checkpoint's place among the others, for the cursor.
func (c StoredCheckpoint) Key() string { return strconv.FormatInt(c.Size, 10) }

// ListCheckpoints reads a page of the signed checkpoints, oldest first;
// page.After is the Key of the last one of the page before.
func (a *App) ListCheckpoints(ctx context.Context, who auth.Principal, page Page) (list []StoredCheckpoint, err error) {
	after, err := sequenceOf(page.After)
	if err != nil {
		return nil, err
	}
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		list, err = tx.Checkpoints(after, pageLimit(page))
		return err
	})
	return list, err
}

// JournalKeys gives the public keys that sign or have signed checkpoints of a
// shop, the current one first, in the name that the shop's tree bears now.
func (a *App) JournalKeys(ctx context.Context, scope shop.ShopID) (keys []KnownKey, err error) {
	if a.Anchors == nil {
		return nil, nil
	}
	var state TreeState
	err = a.Store.Read(ctx, scope, func(tx Tx) error {
		state, err = tx.Tree()
		return err
	})
	if err != nil {
		return nil, err
	}
	keys, err = a.Anchors.Known(journal.OriginAfter(string(scope), state.Breaks))
	return keys, outside(err)
}

// PublicKeys gives the public keys that sign or have signed for any shop here,
// the current one first; none where nothing is signed.
func (a *App) PublicKeys() ([]KnownKey, error) {
	if a.Anchors == nil {
		return nil, nil
	}
	keys, err := a.Anchors.Known("journal")
	return keys, outside(err)
}
