package app

import (
	"time"

	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// TreeTx is the part of a transaction that keeps the shop's tree over the
// entries of its journals, the signed checkpoints of it, and the evidence of
// the answers that the journal commits to.
type TreeTx interface {
	// LockTree keeps others from growing or signing the shop's tree until the
	// transaction ends.
	LockTree() (TreeState, error)
	// Tree reads the same without keeping anybody out.
	Tree() (TreeState, error)
	// Pending lists entries that have no place in the tree yet, each stream in
	// its order.
	Pending(limit int) ([]TreeEntry, error)
	// Place gives a pending entry its place, and stores the nodes complete by it.
	Place(entry TreeEntry, nodes []journal.Node) error
	// Nodes reads stored nodes in the order asked; one that is missing is a
	// fault of the kind Internal. It is a journal.ReadNodes.
	Nodes(ids []journal.NodeID) ([]journal.Hash, error)
	// Leaves lists entries that have a place, from an index on.
	Leaves(from int64, limit int) ([]TreeEntry, error)
	// LeafOf gives the place of an entry; a NotFound fault while it is pending.
	LeafOf(streamID string, sequence int64) (int64, error)
	// AddCheckpoint stores a signed checkpoint, one for each size.
	AddCheckpoint(c StoredCheckpoint) error
	// LastCheckpoint gives the largest, or nil before the first.
	LastCheckpoint() (*StoredCheckpoint, error)
	// Checkpoints lists those larger than a size, in order.
	Checkpoints(after int64, limit int) ([]StoredCheckpoint, error)
	// AddEvidence keeps what shows an answer to be the one committed to.
	AddEvidence(e Evidence) error
	// EvidenceOf gives it for a version of a consent; a NotFound fault when it
	// was erased or never kept.
	EvidenceOf(id shop.ConsentID, version int64) (Evidence, error)
}

// TreeState is where the shop's tree stands.
type TreeState struct {
	// Size counts the leaves.
	Size int64
	// Nodes counts the leaves whose nodes are stored: as many, in a sound tree.
	Nodes int64
	// Breaks counts the breaks of the history that the owner of the data has
	// acknowledged; the origin of checkpoints changes with each.
	Breaks int64
}

// TreeEntry is an entry as the tree sees it.
type TreeEntry struct {
	Index    int64 // of its leaf; meaningless while it is pending
	StreamID string
	Sequence int64
	Header   []byte
	Hash     []byte // the leaf hash written beside the header
	Node     []byte // the hash the tree holds at its leaf; empty where there is none
}

// StoredCheckpoint is a signed checkpoint as the store keeps it.
type StoredCheckpoint struct {
	Size     int64
	Root     journal.Hash
	Note     string // as signed
	SignedAt time.Time
}

// Evidence is the record of an answer, byte for byte as the journal commits
// to it under the salt. It can be erased; the commitment stays.
type Evidence struct {
	ConsentID shop.ConsentID
	Version   int64 // of the consent
	Salt      journal.Salt
	Record    []byte
}
