package app

import (
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// AuditTx is the part of a transaction that reads the journal as it lies
// there, for whoever holds it against itself.
type AuditTx interface {
	// Heads lists the ends of the streams, by id of the stream.
	Heads(afterStream string, limit int) ([]journal.Head, error)
	// Audit reads a stream with every column beside its headers.
	Audit(streamID string, after int64, limit int) ([]AuditEntry, error)
	// AuditCounts counts what there is of each.
	AuditCounts() (AuditCounts, error)
	// KeyOf gives a customer's sealing key, if there is one; it makes none.
	KeyOf(id shop.CustomerID) (key [32]byte, there bool, err error)
}

// AuditEntry is an entry with the columns that repeat its header.
type AuditEntry struct {
	Entry
	ActorKind, ActorID, Event string
	Subject, SubjectID        string
	SubjectVersion            int64
	Leaf                      int64 // place in the tree, -1 for none
	Pending                   bool  // waits for a place
}

// AuditCounts counts the rows of a shop's journal.
type AuditCounts struct {
	Entries, Bodies, Leaves, Pending, Nodes int64
}
