-- +goose Up
-- What was asked of a customer's data, what is kept of it until when, who read personal data, and what an erasure has
-- yet to do outside the tables.
ALTER TABLE customers ADD COLUMN erase_asked_at datetime;
ALTER TABLE customers ADD COLUMN erase_reason text NOT NULL DEFAULT '' CHECK (erase_reason IN ('', 'asked', 'no_longer_needed', 'other'));
ALTER TABLE customers ADD COLUMN erase_on text NOT NULL DEFAULT '' CHECK (erase_on = '' OR length(erase_on) = 10);
ALTER TABLE customers ADD COLUMN erased_at datetime;

CREATE TABLE customer_archives (
    shop_id text NOT NULL,
    customer_id text NOT NULL,
    sealed blob NOT NULL,
    created_at datetime NOT NULL,
    PRIMARY KEY (shop_id, customer_id),
    FOREIGN KEY (shop_id, customer_id) REFERENCES customers (shop_id, id)
);

CREATE TABLE erasures (
    shop_id text NOT NULL,
    customer_id text NOT NULL,
    erased_at datetime NOT NULL,
    photo_ids text NOT NULL,
    photos_gone_at datetime,
    scrubbed_at datetime,
    PRIMARY KEY (shop_id, customer_id),
    FOREIGN KEY (shop_id, customer_id) REFERENCES customers (shop_id, id)
);

CREATE TABLE personal_reads (
    shop_id text NOT NULL,
    id text NOT NULL CHECK (length(id) = 36),
    staff_id text NOT NULL,
    read_at datetime NOT NULL,
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

-- +goose StatementBegin
CREATE TRIGGER personal_reads_no_update BEFORE UPDATE ON personal_reads BEGIN SELECT RAISE(ABORT, 'what was read is noted for good'); END;
-- +goose StatementEnd
