-- +goose Up
-- The shop's tree over the journals' entries, and what shows an answer to be the one given.

-- Entries that have no place in the tree yet; written with the entry, taken away with its leaf.
CREATE TABLE journal_pending (
    shop_id text NOT NULL,
    stream_id text NOT NULL,
    sequence integer NOT NULL,
    PRIMARY KEY (shop_id, stream_id, sequence),
    FOREIGN KEY (shop_id, stream_id, sequence) REFERENCES journal_entries (shop_id, stream_id, sequence)
) WITHOUT ROWID;
INSERT INTO journal_pending (shop_id, stream_id, sequence)
SELECT e.shop_id, e.stream_id, e.sequence FROM journal_entries e
WHERE NOT EXISTS (SELECT 1 FROM journal_leaves l WHERE l.shop_id = e.shop_id AND l.stream_id = e.stream_id AND l.sequence = e.sequence);

-- Roots of the complete subtrees, numbered from left to right: leaf i at 2i, each root between its halves.
CREATE TABLE journal_nodes (
    shop_id text NOT NULL,
    position integer NOT NULL CHECK (position >= 0),
    hash blob NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (shop_id, position),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
) WITHOUT ROWID;

-- The record of an answer as it was committed to, with its salt; erased with the customer.
CREATE TABLE journal_evidence (
    shop_id text NOT NULL,
    consent_id text NOT NULL,
    consent_version integer NOT NULL CHECK (consent_version >= 1),
    salt blob NOT NULL CHECK (length(salt) = 32),
    record blob NOT NULL,
    PRIMARY KEY (shop_id, consent_id, consent_version),
    FOREIGN KEY (shop_id, consent_id) REFERENCES consents (shop_id, id)
);

-- +goose StatementBegin
CREATE TRIGGER journal_nodes_no_update BEFORE UPDATE ON journal_nodes BEGIN SELECT RAISE(ABORT, 'nodes of the tree are insert-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_nodes_no_delete BEFORE DELETE ON journal_nodes BEGIN SELECT RAISE(ABORT, 'nodes of the tree are insert-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_evidence_no_update BEFORE UPDATE ON journal_evidence BEGIN SELECT RAISE(ABORT, 'evidence is erased, never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_pending_no_update BEFORE UPDATE ON journal_pending BEGIN SELECT RAISE(ABORT, 'what is pending gets its leaf, or stays'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_pending_no_delete BEFORE DELETE ON journal_pending
WHEN NOT EXISTS (SELECT 1 FROM journal_leaves l WHERE l.shop_id = OLD.shop_id AND l.stream_id = OLD.stream_id AND l.sequence = OLD.sequence)
BEGIN SELECT RAISE(ABORT, 'what is pending gets its leaf, or stays'); END;
-- +goose StatementEnd
