package store

// The statements of the shop's tree.
const (
	// stmtTreeLock holds the shop's row of this counter until the transaction
	// ends, and makes it at the first time: one statement for both databases.
	// It counts the breaks of the history, from 1.
	stmtTreeLock statement = `INSERT INTO counters (shop_id, name, next) VALUES (?, 'journal_tree', 1)
ON CONFLICT (shop_id, name) DO UPDATE SET next = counters.next
RETURNING next - 1`
	stmtTreeBreaks statement = `SELECT coalesce(max(next) - 1, 0) FROM counters WHERE shop_id = ? AND name = 'journal_tree'`
	stmtTreeNodes  statement = `SELECT coalesce(max(position) / 2 + 1, 0) FROM journal_nodes WHERE shop_id = ?`
	stmtTreeSize   statement = `SELECT coalesce(max(leaf_index) + 1, 0) FROM journal_leaves WHERE shop_id = ?`

	stmtPendingAdd statement = `INSERT INTO journal_pending (shop_id, stream_id, sequence) VALUES (?, ?, ?)`
	stmtPending    statement = `SELECT e.stream_id, e.sequence, e.header, e.hash FROM journal_pending p
JOIN journal_entries e ON e.shop_id = p.shop_id AND e.stream_id = p.stream_id AND e.sequence = p.sequence
WHERE p.shop_id = ? ORDER BY p.stream_id, p.sequence LIMIT ?`
	stmtPendingDrop statement = `DELETE FROM journal_pending WHERE shop_id = ? AND stream_id = ? AND sequence = ?`

	stmtLeafAdd  statement = `INSERT INTO journal_leaves (shop_id, leaf_index, stream_id, sequence) VALUES (?, ?, ?, ?)`
	stmtLeafFind statement = `SELECT leaf_index FROM journal_leaves WHERE shop_id = ? AND stream_id = ? AND sequence = ?`
	stmtLeaves   statement = `SELECT l.leaf_index, e.stream_id, e.sequence, e.header, e.hash, n.hash FROM journal_leaves l
JOIN journal_entries e ON e.shop_id = l.shop_id AND e.stream_id = l.stream_id AND e.sequence = l.sequence
LEFT JOIN journal_nodes n ON n.shop_id = l.shop_id AND n.position = 2 * l.leaf_index
WHERE l.shop_id = ? AND l.leaf_index >= ? ORDER BY l.leaf_index LIMIT ?`

	stmtNodeAdd statement = `INSERT INTO journal_nodes (shop_id, position, hash) VALUES (?, ?, ?)`
	stmtNodes   statement = `SELECT position, hash FROM journal_nodes WHERE shop_id = ? AND position IN ?`

	stmtCheckpointAdd statement = `INSERT INTO journal_checkpoints (shop_id, tree_size, root_hash, note, signed_at)
VALUES (?, ?, ?, ?, ?)`
	stmtCheckpoints statement = `SELECT tree_size, root_hash, note, signed_at FROM journal_checkpoints
WHERE shop_id = ? AND tree_size > ? ORDER BY tree_size LIMIT ?`
	stmtCheckpointLast statement = `SELECT tree_size, root_hash, note, signed_at FROM journal_checkpoints
WHERE shop_id = ? ORDER BY tree_size DESC LIMIT 1`

	stmtEvidenceAdd statement = `INSERT INTO journal_evidence (shop_id, consent_id, consent_version, salt, record) VALUES (?, ?, ?, ?, ?)`
	stmtEvidence    statement = `SELECT salt, record FROM journal_evidence WHERE shop_id = ? AND consent_id = ? AND consent_version = ?`
)
