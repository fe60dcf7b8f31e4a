-- +goose Up
-- What goes out: mail, text messages and calls of other programs. The table
-- outbox was there and nothing wrote to it.
ALTER TABLE shops ADD COLUMN email text NOT NULL DEFAULT '' CHECK (length(email) <= 2000);

CREATE TABLE webhooks (
    shop_id uuid NOT NULL,
    id uuid NOT NULL,
    version bigint NOT NULL CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    updated_at timestamptz NOT NULL,
    name text NOT NULL CHECK (length(name) <= 2000),
    url text NOT NULL CHECK (length(url) <= 2000),
    use text NOT NULL CHECK (use IN ('events', 'texts')),
    events jsonb NOT NULL,
    secret bytea NOT NULL,
    old_secret bytea NOT NULL,
    old_until timestamptz,
    disabled_at timestamptz,
    disabled_reason text NOT NULL CHECK (length(disabled_reason) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

DROP TABLE outbox;

CREATE TABLE outbox (
    shop_id uuid NOT NULL,
    id uuid NOT NULL,
    version bigint NOT NULL CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    updated_at timestamptz NOT NULL,
    kind text NOT NULL CHECK (kind IN ('consent_copy', 'offer_link', 'checkpoint', 'event', 'test')),
    way text NOT NULL CHECK (way IN ('email', 'text', 'webhook')),
    state text NOT NULL CHECK (state IN ('given_up', 'not_set_up', 'uncertain', 'failed', 'sent', 'being_sent', 'waiting')),
    state_since timestamptz NOT NULL,
    work_order_id uuid,
    job_id uuid,
    subject text NOT NULL CHECK (length(subject) <= 64),
    subject_id text NOT NULL CHECK (length(subject_id) <= 64),
    endpoint_id uuid,
    content text NOT NULL CHECK (length(content) <= 10000),
    sealed bytea NOT NULL,
    due_at timestamptz NOT NULL,
    leased_until timestamptz,
    tries bigint NOT NULL CHECK (tries >= 0),
    sent_at timestamptz,
    last_error text NOT NULL CHECK (length(last_error) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, endpoint_id) REFERENCES webhooks (shop_id, id)
);

CREATE INDEX outbox_by_state ON outbox (shop_id, state, due_at);
