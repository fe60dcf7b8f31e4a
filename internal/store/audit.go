package store

import (
	"database/sql"
	"errors"

	"benchtag/internal/app"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// The statements of an audit.
const (
	stmtHeads statement = `SELECT stream_kind, stream_id, sequence, hash FROM journal_heads
WHERE shop_id = ? AND stream_id > ? ORDER BY stream_id LIMIT ?`
	stmtAudit statement = `SELECT e.sequence, e.header, e.hash, e.happened_at, e.actor_kind, e.actor_id, e.kind, e.subject, e.subject_id,
  e.subject_version, b.salt, b.body, b.key_customer_id, coalesce(l.leaf_index, -1), coalesce(p.sequence, 0)
FROM journal_entries e
LEFT JOIN journal_bodies b ON b.shop_id = e.shop_id AND b.stream_id = e.stream_id AND b.sequence = e.sequence
LEFT JOIN journal_leaves l ON l.shop_id = e.shop_id AND l.stream_id = e.stream_id AND l.sequence = e.sequence
LEFT JOIN journal_pending p ON p.shop_id = e.shop_id AND p.stream_id = e.stream_id AND p.sequence = e.sequence
WHERE e.shop_id = ? AND e.stream_id = ? AND e.sequence > ? ORDER BY e.sequence LIMIT ?`
	stmtAuditCounts statement = `SELECT (SELECT count(*) FROM journal_entries WHERE shop_id = ?), (SELECT count(*) FROM journal_bodies WHERE shop_id = ?),
  (SELECT count(*) FROM journal_leaves WHERE shop_id = ?), (SELECT count(*) FROM journal_pending WHERE shop_id = ?),
  (SELECT count(*) FROM journal_nodes WHERE shop_id = ?)`
)

// Heads lists the ends of the streams.
func (t *tx) Heads(afterStream string, limit int) ([]journal.Head, error) {
	if afterStream == "" {
		afterStream = firstID
	}
	var list []journal.Head
	err := each(t.db, stmtHeads, []any{string(t.shop), afterStream, limit}, func(scan func(...any) error) error {
		var hash []byte
		h := journal.Head{Stream: journal.Stream{ShopID: string(t.shop)}}
		if err := scan(&h.Stream.Kind, &h.Stream.ID, &h.Sequence, &hash); err != nil {
			return err
		}
		// A hash of another length fits nothing, and is found by that.
		copy(h.Hash[:], hash)
		list = append(list, h)
		return nil
	})
	return list, err
}

// Audit reads a stream with every column.
func (t *tx) Audit(streamID string, after int64, limit int) ([]app.AuditEntry, error) {
	var list []app.AuditEntry
	err := each(t.db, stmtAudit, []any{string(t.shop), streamID, after, limit}, func(scan func(...any) error) error {
		var e app.AuditEntry
		var keyed sql.NullString
		var pending int64
		err := scan(&e.Sequence, &e.Header, &e.Hash, &e.HappenedAt, &e.ActorKind, &e.ActorID, &e.Event, &e.Subject, &e.SubjectID,
			&e.SubjectVersion, &e.Salt, &e.Body, &keyed, &e.Leaf, &pending)
		if err != nil {
			return err
		}
		e.HasBody, e.KeyedTo, e.Pending = len(e.Salt) > 0, shop.CustomerID(keyed.String), pending > 0
		list = append(list, e)
		return nil
	})
	return list, err
}

// AuditCounts counts what there is of each.
func (t *tx) AuditCounts() (app.AuditCounts, error) {
	var c app.AuditCounts
	id := string(t.shop)
	err := one(t.db, stmtAuditCounts, []any{id, id, id, id, id}, &c.Entries, &c.Bodies, &c.Leaves, &c.Pending, &c.Nodes)
	return c, err
}

// KeyOf gives a customer's sealing key, if there is one.
func (t *tx) KeyOf(id shop.CustomerID) (key [32]byte, there bool, err error) {
	if !IsID(string(id)) {
		return key, false, nil
	}
	var secret []byte
	err = one(t.db, stmtKeyFind, []any{string(t.shop), string(id)}, &secret)
	if errors.Is(err, errNoRow) {
		return key, false, nil
	}
	copy(key[:], secret)
	return key, err == nil, err
}
