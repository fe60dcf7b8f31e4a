package store

import (
	"encoding/json"
	"fmt"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// What is read of customers, and what is swept when its time is over. Each
// statement that takes away takes a batch: the rows are chosen by a subquery
// with a limit.
const (
	stmtReadAdd statement = `INSERT INTO personal_reads (shop_id, id, staff_id, read_at, operation, subject, subject_ids, reason)
VALUES (?, ?, ?, ?, ?, ?, ?, ?)`
	stmtReads statement = `SELECT id, staff_id, read_at, operation, subject, subject_ids, reason FROM personal_reads
WHERE shop_id = ? AND staff_id = ? AND read_at >= ? AND read_at < ? AND id > ? ORDER BY id LIMIT ?`

	stmtSweepAnswers statement = `DELETE FROM idempotency_keys WHERE shop_id = ? AND (actor_id, route, key_hash) IN (
  SELECT i.actor_id, i.route, i.key_hash FROM idempotency_keys i WHERE i.shop_id = ? AND i.created_at < ? LIMIT ?)`
	stmtSweepTokens statement = `DELETE FROM refresh_tokens WHERE shop_id = ? AND id IN (
  SELECT r.id FROM refresh_tokens r JOIN sessions s ON s.shop_id = r.shop_id AND s.id = r.session_id
  WHERE r.shop_id = ? AND (s.ended_at < ? OR s.idle_until < ? OR s.expires_at < ?) LIMIT ?)`
	stmtSweepSessions statement = `DELETE FROM sessions WHERE shop_id = ? AND id IN (
  SELECT s.id FROM sessions s WHERE s.shop_id = ? AND (s.ended_at < ? OR s.idle_until < ? OR s.expires_at < ?)
  AND NOT EXISTS (SELECT 1 FROM refresh_tokens r WHERE r.shop_id = s.shop_id AND r.session_id = s.id) LIMIT ?)`
	stmtSweepLinks statement = `UPDATE offer_links SET token_hash = 'ended:' || CAST(id AS text), version = version + 1
WHERE shop_id = ? AND id IN (SELECT l.id FROM offer_links l WHERE l.shop_id = ? AND (l.revoked_at < ? OR l.view_until < ?)
  AND l.token_hash NOT LIKE 'ended:%' LIMIT ?)`
	stmtSweepReads statement = `DELETE FROM personal_reads WHERE shop_id = ? AND id IN (
  SELECT p.id FROM personal_reads p WHERE p.shop_id = ? AND p.read_at < ? LIMIT ?)`
	stmtSweepOutbox statement = `DELETE FROM outbox WHERE shop_id = ? AND id IN (
  SELECT o.id FROM outbox o WHERE o.shop_id = ? AND o.state IN ('sent', 'given_up') AND o.state_since < ? LIMIT ?)`
	stmtSweepAddresses statement = `UPDATE security_events SET ip = '', version = version + 1 WHERE shop_id = ? AND id IN (
  SELECT e.id FROM security_events e WHERE e.shop_id = ? AND e.happened_at < ? AND e.ip <> '' LIMIT ?)`
)

func keepingStatements() []statement {
	return []statement{stmtReadAdd, stmtReads, stmtSweepAnswers, stmtSweepTokens, stmtSweepSessions, stmtSweepLinks,
		stmtSweepReads, stmtSweepOutbox, stmtSweepAddresses}
}

// sweeps says by which statement a kind is swept, and how often it names the
// time.
func sweeps() map[app.Sweeping]struct {
	by    statement
	times int
} {
	return map[app.Sweeping]struct {
		by    statement
		times int
	}{
		app.SweepAnswers:       {stmtSweepAnswers, 1},
		app.SweepRefreshTokens: {stmtSweepTokens, 3},
		app.SweepSessions:      {stmtSweepSessions, 3},
		app.SweepLinkHashes:    {stmtSweepLinks, 2},
		app.SweepReads:         {stmtSweepReads, 1},
		app.SweepOutbox:        {stmtSweepOutbox, 1},
		app.SweepAddresses:     {stmtSweepAddresses, 1},
	}
}

// Sweep takes away a batch of what ended before a time.
func (t *tx) Sweep(what app.Sweeping, before time.Time, limit int) (int64, error) {
	s, ok := sweeps()[what]
	if !ok {
		return 0, fmt.Errorf("store: nothing is known of sweeping %q", string(what))
	}
	args := []any{string(t.shop), string(t.shop)}
	for range s.times {
		args = append(args, before)
	}
	return run(t.db, s.by, append(args, limit)...)
}

// NoteReads stores who read which personal data.
func (t *tx) NoteReads(reads []app.PersonalRead) error {
	for _, r := range reads {
		ids, err := json.Marshal(r.IDs)
		if err != nil {
			return fmt.Errorf("store: write the ids read: %w", err)
		}
		_, err = run(t.db, stmtReadAdd, string(t.shop), r.ID, string(r.StaffID), r.ReadAt, r.Operation, r.Subject, string(ids), string(r.Reason))
		if err != nil {
			return err
		}
	}
	return nil
}

// PersonalReads lists what a person read in a stretch of time.
func (t *tx) PersonalReads(by app.ReadsWanted, page app.Page) ([]app.PersonalRead, error) {
	after := orFirst(page.After)
	if !IsID(after) {
		return nil, fault.New(fault.Shape, "store.cursor_unreadable", "The cursor is not one of ours; start from the first page.")
	}
	limit := page.Limit
	if limit <= 0 || limit > app.MaxRows {
		limit = app.MaxRows
	}
	var out []app.PersonalRead
	args := []any{string(t.shop), string(by.StaffID), by.From.UTC(), by.Until.UTC(), after, limit}
	err := each(t.db, stmtReads, args, func(scan func(...any) error) error {
		var r app.PersonalRead
		var staff, ids, reason string
		if err := scan(&r.ID, &staff, &r.ReadAt, &r.Operation, &r.Subject, &ids, &reason); err != nil {
			return err
		}
		r.StaffID, r.Reason = shop.StaffID(staff), app.LookReason(reason)
		if err := json.Unmarshal([]byte(ids), &r.IDs); err != nil {
			return fmt.Errorf("store: read the ids read: %w", err)
		}
		out = append(out, r)
		return nil
	})
	return out, err
}
