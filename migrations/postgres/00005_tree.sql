-- +goose Up
-- The shop's tree over the journals' entries, and what shows an answer to be the one given.

-- Entries that have no place in the tree yet; written with the entry, taken away with its leaf.
CREATE TABLE journal_pending (
    shop_id uuid NOT NULL,
    stream_id uuid NOT NULL,
    sequence bigint NOT NULL,
    PRIMARY KEY (shop_id, stream_id, sequence),
    FOREIGN KEY (shop_id, stream_id, sequence) REFERENCES journal_entries (shop_id, stream_id, sequence)
);
INSERT INTO journal_pending (shop_id, stream_id, sequence)
SELECT e.shop_id, e.stream_id, e.sequence FROM journal_entries e
WHERE NOT EXISTS (SELECT 1 FROM journal_leaves l WHERE l.shop_id = e.shop_id AND l.stream_id = e.stream_id AND l.sequence = e.sequence);

-- Roots of the complete subtrees, numbered from left to right: leaf i at 2i, each root between its halves.
CREATE TABLE journal_nodes (
    shop_id uuid NOT NULL,
    position bigint NOT NULL CHECK (position >= 0),
    hash bytea NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (shop_id, position),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

-- The record of an answer as it was committed to, with its salt; erased with the customer.
CREATE TABLE journal_evidence (
    shop_id uuid NOT NULL,
    consent_id uuid NOT NULL,
    consent_version bigint NOT NULL CHECK (consent_version >= 1),
    salt bytea NOT NULL CHECK (length(salt) = 32),
    record bytea NOT NULL,
    PRIMARY KEY (shop_id, consent_id, consent_version),
    FOREIGN KEY (shop_id, consent_id) REFERENCES consents (shop_id, id)
);

-- +goose StatementBegin
CREATE FUNCTION refuse_unplaced() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NOT EXISTS (SELECT 1 FROM journal_leaves l WHERE l.shop_id = OLD.shop_id AND l.stream_id = OLD.stream_id AND l.sequence = OLD.sequence) THEN
        RAISE EXCEPTION 'what is pending gets its leaf, or stays' USING ERRCODE = 'insufficient_privilege';
    END IF;
    RETURN OLD;
END $$;
-- +goose StatementEnd
CREATE TRIGGER journal_nodes_insert_only BEFORE UPDATE OR DELETE OR TRUNCATE ON journal_nodes FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER journal_evidence_no_update BEFORE UPDATE OR TRUNCATE ON journal_evidence FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER journal_pending_no_update BEFORE UPDATE OR TRUNCATE ON journal_pending FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER journal_pending_no_delete BEFORE DELETE ON journal_pending FOR EACH ROW EXECUTE FUNCTION refuse_unplaced();
