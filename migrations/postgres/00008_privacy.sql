-- +goose Up
-- What was asked of a customer's data, what is kept of it until when, who read personal data, and what an erasure has
-- yet to do outside the tables.
ALTER TABLE customers ADD COLUMN erase_asked_at timestamptz;
ALTER TABLE customers ADD COLUMN erase_reason text NOT NULL DEFAULT '' CHECK (erase_reason IN ('', 'asked', 'no_longer_needed', 'other'));
ALTER TABLE customers ADD COLUMN erase_on text NOT NULL DEFAULT '' CHECK (erase_on = '' OR length(erase_on) = 10);
ALTER TABLE customers ADD COLUMN erased_at timestamptz;

CREATE TABLE customer_archives (
    shop_id uuid NOT NULL,
    customer_id uuid NOT NULL,
    sealed bytea NOT NULL,
    created_at timestamptz NOT NULL,
    PRIMARY KEY (shop_id, customer_id),
    FOREIGN KEY (shop_id, customer_id) REFERENCES customers (shop_id, id)
);

CREATE TABLE erasures (
    shop_id uuid NOT NULL,
    customer_id uuid NOT NULL,
    erased_at timestamptz NOT NULL,
    photo_ids text NOT NULL,
    photos_gone_at timestamptz,
    scrubbed_at timestamptz,
    PRIMARY KEY (shop_id, customer_id),
    FOREIGN KEY (shop_id, customer_id) REFERENCES customers (shop_id, id)
);

CREATE TABLE personal_reads (
    shop_id uuid NOT NULL,
    id uuid NOT NULL,
    staff_id uuid NOT NULL,
    read_at timestamptz NOT NULL,
    operation text NOT NULL CHECK (length(operation) <= 100),
    subject text NOT NULL CHECK (length(subject) <= 100),
    subject_ids text NOT NULL,
    reason text NOT NULL CHECK (length(reason) <= 100),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, staff_id) REFERENCES staff (shop_id, id)
);

CREATE INDEX personal_reads_by_staff ON personal_reads (shop_id, staff_id, read_at, id);
CREATE INDEX personal_reads_by_time ON personal_reads (shop_id, read_at);
CREATE INDEX refresh_tokens_by_session ON refresh_tokens (shop_id, session_id);
CREATE INDEX idempotency_keys_by_time ON idempotency_keys (shop_id, created_at);
CREATE INDEX journal_bodies_by_customer ON journal_bodies (shop_id, key_customer_id);

CREATE TRIGGER personal_reads_no_update BEFORE UPDATE ON personal_reads FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
