package store

import (
	"errors"
	"slices"

	"gorm.io/gorm"
)

// statement is raw SQL of this registry. Every one that touches a shop's
// table names the shop first.
type statement string

const (
	stmtCount statement = `INSERT INTO counters (shop_id, name, next) VALUES (?, ?, 1 + CAST(? AS bigint))
ON CONFLICT (shop_id, name) DO UPDATE SET next = counters.next + excluded.next - 1
RETURNING next`

	stmtSlugClaim statement = `INSERT INTO shop_slugs (slug, shop_id) VALUES (?, ?)`
	stmtSlugFind  statement = `SELECT shop_id FROM shop_slugs WHERE slug = ?`
	stmtShopCount statement = `SELECT count(*) FROM shop_slugs`
	stmtShopList  statement = `SELECT shop_id FROM shop_slugs ORDER BY shop_id`

	stmtHeadMake statement = `INSERT INTO journal_heads (shop_id, stream_kind, stream_id, sequence, hash)
VALUES (?, ?, ?, 0, ?) ON CONFLICT (shop_id, stream_id) DO NOTHING`
	stmtHeadLockSQLite statement = `SELECT sequence, hash FROM journal_heads WHERE shop_id = ? AND stream_id = ?`
	stmtHeadLock       statement = `SELECT sequence, hash FROM journal_heads WHERE shop_id = ? AND stream_id = ? FOR UPDATE`
	stmtHeadMove       statement = `UPDATE journal_heads SET sequence = ?, hash = ?
WHERE shop_id = ? AND stream_id = ? AND sequence = ?`
	stmtEntryAdd statement = `INSERT INTO journal_entries
(shop_id, stream_id, sequence, header, hash, happened_at, actor_kind, actor_id, kind, subject, subject_id, subject_version)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`
	stmtBodyAdd statement = `INSERT INTO journal_bodies (shop_id, stream_id, sequence, salt, body, key_customer_id)
VALUES (?, ?, ?, ?, ?, ?)`
	stmtEntries statement = `SELECT e.sequence, e.header, e.hash, e.happened_at, b.salt, b.body, b.key_customer_id
FROM journal_entries e LEFT JOIN journal_bodies b
  ON b.shop_id = e.shop_id AND b.stream_id = e.stream_id AND b.sequence = e.sequence
WHERE e.shop_id = ? AND e.stream_id = ? AND e.sequence > ? ORDER BY e.sequence LIMIT ?`

	stmtSealedFor statement = `SELECT b.stream_id, b.sequence, e.header, b.body
FROM journal_bodies b JOIN journal_entries e
  ON e.shop_id = b.shop_id AND e.stream_id = b.stream_id AND e.sequence = b.sequence
WHERE b.shop_id = ? AND b.key_customer_id = ? AND (b.stream_id, b.sequence) > (?, ?)
ORDER BY b.stream_id, b.sequence LIMIT ?`

	stmtKeyMake statement = `INSERT INTO customer_keys (shop_id, customer_id, secret, created_at)
VALUES (?, ?, ?, ?) ON CONFLICT (shop_id, customer_id) DO NOTHING`
	stmtKeyFind statement = `SELECT secret FROM customer_keys WHERE shop_id = ? AND customer_id = ?`

	stmtRecall statement = `SELECT fingerprint, status, etag, answer, created_at FROM idempotency_keys
WHERE shop_id = ? AND actor_id = ? AND route = ? AND key_hash = ?`
	stmtRemember statement = `INSERT INTO idempotency_keys
(shop_id, actor_id, route, key_hash, fingerprint, status, etag, answer, created_at)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`

	// What a sender may take in hand: due and in nobody's hand, or left in the
	// middle by one whose lease has run out. Only the first kind is claimed.
	stmtMessagesDue statement = `SELECT count(*) FROM outbox WHERE shop_id = ? AND state IN ('waiting', 'being_sent')
AND due_at <= ? AND (leased_until IS NULL OR leased_until <= ?)`
	stmtMessagesStuck       statement = `SELECT count(*) FROM outbox WHERE shop_id = ? AND state IN ('failed', 'uncertain')`
	stmtMessagesClaimSQLite statement = `UPDATE outbox SET leased_until = ?, tries = tries + 1, version = version + 1, updated_at = ?
WHERE shop_id = ? AND id IN (SELECT id FROM outbox WHERE shop_id = ? AND state = 'waiting'
AND due_at <= ? AND (leased_until IS NULL OR leased_until <= ?) ORDER BY due_at, id LIMIT ?) RETURNING id`
	stmtMessagesClaim statement = `UPDATE outbox SET leased_until = ?, tries = tries + 1, version = version + 1, updated_at = ?
WHERE shop_id = ? AND id IN (SELECT id FROM outbox WHERE shop_id = ? AND state = 'waiting'
AND due_at <= ? AND (leased_until IS NULL OR leased_until <= ?) ORDER BY due_at, id LIMIT ? FOR UPDATE SKIP LOCKED) RETURNING id`

	stmtFloor statement = `SELECT j.id FROM jobs j WHERE j.shop_id = ? AND j.stage NOT IN ('closed', 'withdrawn') AND j.id > ?
ORDER BY j.id LIMIT ?`

	// stmtFloorMark adds up the journals of the work orders that have an open
	// job, and of the shop: each change moves one of them on.
	stmtFloorMark statement = `SELECT count(*), coalesce(sum(h.sequence), 0),
  (SELECT coalesce(max(s.sequence), 0) FROM journal_heads s WHERE s.shop_id = ? AND s.stream_id = ?)
FROM jobs j JOIN journal_heads h ON h.shop_id = j.shop_id AND h.stream_id = j.work_order_id
WHERE j.shop_id = ? AND j.stage IN ('intake', 'diagnosis', 'teardown', 'authorization', 'repair', 'road_test', 'release')`

	stmtTagBlock statement = `SELECT id FROM tag_blocks WHERE shop_id = ? AND first_number <= ?
ORDER BY first_number DESC LIMIT 1`

	// stmtTagsLying orders by place; a tag that the list starts after stands
	// where it lies now.
	stmtTagsLying statement = `SELECT t.id FROM tags t WHERE t.shop_id = ? AND t.struck_at IS NULL
AND t.outcome IN ('', 'kept', 'off_on_purpose') AND (t.outcome = '' OR CAST(? AS bigint) = 1)
AND (CAST(? AS text) = '' OR (t.lies_at, t.id) > (SELECT a.lies_at, a.id FROM tags a WHERE a.shop_id = t.shop_id AND CAST(a.id AS text) = ?))
ORDER BY t.lies_at, t.id LIMIT ?`

	// stmtSearch ranks stages as flow.Stages lists them. Texts are matched in
	// lower case, and in upper and title case as well where letters are not
	// ASCII, which the lower() of SQLite leaves alone. Blanks and hyphens of
	// a plate do not count.
	stmtSearch statement = `SELECT w.id FROM work_orders w
JOIN customers c ON c.shop_id = w.shop_id AND c.id = w.customer_id
JOIN machines m ON m.shop_id = w.shop_id AND m.id = w.machine_id
WHERE w.shop_id = ? AND (CAST(? AS bigint) < 0 OR (
  SELECT min(CASE j.stage WHEN 'intake' THEN 0 WHEN 'diagnosis' THEN 1 WHEN 'teardown' THEN 2
    WHEN 'authorization' THEN 3 WHEN 'repair' THEN 4 WHEN 'road_test' THEN 5 WHEN 'release' THEN 6
    WHEN 'closed' THEN 7 ELSE 8 END)
  FROM jobs j WHERE j.shop_id = w.shop_id AND j.work_order_id = w.id) = CAST(? AS bigint))
AND (w.number = CAST(? AS bigint)
  OR lower(c.name) LIKE ? ESCAPE '!' OR lower(c.name) LIKE ? ESCAPE '!' OR lower(c.name) LIKE ? ESCAPE '!'
  OR (CAST(? AS text) <> '' AND c.phone_e164 LIKE ? ESCAPE '!')
  OR lower(m.vin) LIKE ? ESCAPE '!' OR lower(m.frame_number) LIKE ? ESCAPE '!'
  OR (CAST(? AS text) <> '' AND (replace(replace(lower(m.plate), ' ', ''), '-', '') LIKE ? ESCAPE '!'
    OR replace(replace(lower(m.plate), ' ', ''), '-', '') LIKE ? ESCAPE '!'))
  OR lower(m.model) LIKE ? ESCAPE '!' OR lower(m.model) LIKE ? ESCAPE '!' OR lower(m.model) LIKE ? ESCAPE '!')
ORDER BY w.id DESC LIMIT ?`

	stmtPhotoUsage statement = `SELECT count(*) AS shop_count, CAST(coalesce(sum(size_bytes), 0) AS bigint) AS shop_bytes,
  CAST(coalesce(sum(CASE WHEN recorded_by = ? THEN 1 ELSE 0 END), 0) AS bigint) AS person_count,
  CAST(coalesce(sum(CASE WHEN recorded_by = ? THEN size_bytes ELSE 0 END), 0) AS bigint) AS person_bytes
FROM photos WHERE shop_id = ? AND stored_at IS NOT NULL AND erased_at IS NULL`

	stmtHistory statement = `SELECT j.id FROM jobs j WHERE j.shop_id = ? AND j.id > ? ORDER BY j.id LIMIT ?`

	stmtMachineHistory statement = `SELECT j.id FROM work_orders w
JOIN jobs j ON j.shop_id = w.shop_id AND j.work_order_id = w.id
WHERE w.shop_id = ? AND w.machine_id = ? AND j.id > ? ORDER BY j.id LIMIT ?`
)

// registry lists every statement; raw SQL that is not in it is refused.
func registry() []statement {
	return slices.Concat(keepingStatements(), erasingStatements(), []statement{
		stmtCount,
		stmtSlugClaim,
		stmtSlugFind,
		stmtShopCount,
		stmtShopList,
		stmtHeadMake,
		stmtHeadLockSQLite,
		stmtHeadLock,
		stmtHeadMove,
		stmtEntryAdd,
		stmtBodyAdd,
		stmtEntries,
		stmtSealedFor,
		stmtKeyMake,
		stmtKeyFind,
		stmtRecall,
		stmtRemember,
		stmtMessagesDue,
		stmtMessagesStuck,
		stmtMessagesClaimSQLite,
		stmtMessagesClaim,
		stmtFloor,
		stmtFloorMark,
		stmtSearch,
		stmtPhotoUsage,
		stmtHistory,
		stmtMachineHistory,
		stmtHeads,
		stmtAudit,
		stmtAuditCounts,
		stmtTreeLock,
		stmtTreeBreaks,
		stmtTreeSize,
		stmtTreeNodes,
		stmtPendingAdd,
		stmtPending,
		stmtPendingDrop,
		stmtLeafAdd,
		stmtLeafFind,
		stmtLeaves,
		stmtNodeAdd,
		stmtNodes,
		stmtCheckpointAdd,
		stmtCheckpoints,
		stmtCheckpointLast,
		stmtEvidenceAdd,
		stmtEvidence,
		stmtTagBlock,
		stmtTagsLying,
	})
}

// firstID sorts before every UUIDv7.
const firstID = "00000000-0000-0000-0000-000000000000"

// run executes a statement of the registry and gives the rows it touched.
func run(db *gorm.DB, s statement, args ...any) (int64, error) {
	res := db.Set(rawKey, s).Exec(string(s), args...)
	return res.RowsAffected, classify(res.Error)
}

// errNoRow says that a query of one row found none.
var errNoRow = errors.New("store: no row")

// one reads the single row of a statement into dest.
func one(db *gorm.DB, s statement, args []any, dest ...any) error {
	found := false
	err := each(db, s, args, func(scan func(...any) error) error {
		found = true
		return scan(dest...)
	})
	if err == nil && !found {
		return errNoRow
	}
	return err
}

// each reads every row of a statement.
func each(db *gorm.DB, s statement, args []any, row func(scan func(...any) error) error) error {
	rows, err := db.Set(rawKey, s).Raw(string(s), args...).Rows()
	if err != nil {
		return classify(err)
	}
	defer func() { _ = rows.Close() }()
	for rows.Next() {
		if err := row(rows.Scan); err != nil {
			return classify(err)
		}
	}
	return classify(rows.Err())
}

// ids reads a column of ids.
func ids(db *gorm.DB, s statement, args ...any) ([]string, error) {
	var list []string
	err := each(db, s, args, func(scan func(...any) error) error {
		var id string
		if err := scan(&id); err != nil {
			return err
		}
		list = append(list, id)
		return nil
	})
	return list, err
}
