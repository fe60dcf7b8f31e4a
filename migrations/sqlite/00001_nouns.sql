-- +goose Up
-- The one table outside the tenant wall: which shop a slug names.
CREATE TABLE shop_slugs (
    slug text NOT NULL PRIMARY KEY CHECK (length(slug) BETWEEN 3 AND 40),
    shop_id text NOT NULL UNIQUE
);

-- Numbers that count up in a shop: work orders, bills.
CREATE TABLE counters (
    shop_id text NOT NULL,
    name text NOT NULL,
    next integer NOT NULL CHECK (next >= 1),
    PRIMARY KEY (shop_id, name),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

-- Head of each journal stream; every write locks it first.
CREATE TABLE journal_heads (
    shop_id text NOT NULL,
    stream_kind text NOT NULL CHECK (stream_kind IN ('shop', 'work_order')),
    stream_id text NOT NULL,
    sequence integer NOT NULL CHECK (sequence >= 0),
    hash blob NOT NULL,
    PRIMARY KEY (shop_id, stream_id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

-- Headers are immutable; leaf_index is the place in the shop's tree, given by a sequencer in journal_leaves.
CREATE TABLE journal_entries (
    shop_id text NOT NULL,
    stream_id text NOT NULL,
    sequence integer NOT NULL CHECK (sequence >= 1),
    header blob NOT NULL,
    hash blob NOT NULL CHECK (length(hash) = 32),
    happened_at datetime NOT NULL,
    actor_kind text NOT NULL,
    actor_id text NOT NULL,
    kind text NOT NULL,
    subject text NOT NULL,
    subject_id text NOT NULL,
    subject_version integer NOT NULL,
    PRIMARY KEY (shop_id, stream_id, sequence),
    FOREIGN KEY (shop_id, stream_id) REFERENCES journal_heads (shop_id, stream_id)
);

-- Bodies and their salts may be erased; the proof over the headers stays.
CREATE TABLE journal_bodies (
    shop_id text NOT NULL,
    stream_id text NOT NULL,
    sequence integer NOT NULL,
    salt blob NOT NULL CHECK (length(salt) = 32),
    body blob NOT NULL,
    key_customer_id text,
    PRIMARY KEY (shop_id, stream_id, sequence),
    FOREIGN KEY (shop_id, stream_id, sequence) REFERENCES journal_entries (shop_id, stream_id, sequence)
);

-- Index of each entry in the shop's Merkle tree.
CREATE TABLE journal_leaves (
    shop_id text NOT NULL,
    leaf_index integer NOT NULL CHECK (leaf_index >= 0),
    stream_id text NOT NULL,
    sequence integer NOT NULL,
    PRIMARY KEY (shop_id, leaf_index),
    UNIQUE (shop_id, stream_id, sequence),
    FOREIGN KEY (shop_id, stream_id, sequence) REFERENCES journal_entries (shop_id, stream_id, sequence)
);

-- Signed heads of that tree.
CREATE TABLE journal_checkpoints (
    shop_id text NOT NULL,
    tree_size integer NOT NULL CHECK (tree_size >= 0),
    root_hash blob NOT NULL CHECK (length(root_hash) = 32),
    note blob NOT NULL,
    signed_at datetime NOT NULL,
    PRIMARY KEY (shop_id, tree_size),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

-- One key per customer; destroying it erases the customer from every journal body.
CREATE TABLE customer_keys (
    shop_id text NOT NULL,
    customer_id text NOT NULL,
    secret blob NOT NULL CHECK (length(secret) = 32),
    created_at datetime NOT NULL,
    PRIMARY KEY (shop_id, customer_id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

-- First answers to effects, for replays.
CREATE TABLE idempotency_keys (
    shop_id text NOT NULL,
    actor_id text NOT NULL,
    route text NOT NULL,
    key_hash text NOT NULL,
    fingerprint text NOT NULL,
    status integer NOT NULL,
    etag text NOT NULL,
    answer blob NOT NULL,
    created_at datetime NOT NULL,
    PRIMARY KEY (shop_id, actor_id, route, key_hash),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

-- Work that follows from a change, written in its transaction.
CREATE TABLE outbox (
    shop_id text NOT NULL,
    id text NOT NULL,
    kind text NOT NULL,
    payload text NOT NULL,
    created_at datetime NOT NULL,
    due_at datetime NOT NULL,
    leased_until datetime,
    tries integer NOT NULL CHECK (tries >= 0),
    done_at datetime,
    last_error text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE shops (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    name text NOT NULL CHECK (length(name) <= 2000),
    slug text NOT NULL CHECK (length(slug) <= 2000),
    currency text NOT NULL CHECK (length(currency) <= 2000),
    tax_mode text NOT NULL CHECK (tax_mode IN ('exclusive', 'inclusive')),
    rounding text NOT NULL CHECK (length(rounding) <= 2000),
    time_zone text NOT NULL CHECK (length(time_zone) <= 2000),
    consent_rule text NOT NULL CHECK (length(consent_rule) <= 2000),
    own_rule text,
    one_person boolean NOT NULL,
    demo boolean NOT NULL,
    phone text NOT NULL CHECK (length(phone) <= 2000),
    address text NOT NULL CHECK (length(address) <= 10000),
    registration text NOT NULL CHECK (length(registration) <= 2000),
    caution text NOT NULL CHECK (length(caution) <= 10000),
    PRIMARY KEY (shop_id, id),
    CHECK (id = shop_id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE staff (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    login text NOT NULL CHECK (length(login) <= 2000),
    name text NOT NULL CHECK (length(name) <= 2000),
    roles text NOT NULL,
    password_hash text NOT NULL CHECK (length(password_hash) <= 2000),
    pin_hash text NOT NULL CHECK (length(pin_hash) <= 2000),
    has_pin boolean NOT NULL,
    session_version integer NOT NULL CHECK (session_version >= 0),
    disabled boolean NOT NULL,
    rides boolean NOT NULL,
    licence_until text NOT NULL CHECK (licence_until = '' OR length(licence_until) = 10),
    same_person_as_id text CHECK (length(same_person_as_id) = 36),
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, login),
    FOREIGN KEY (shop_id, same_person_as_id) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE sign_in_counters (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    account_key text NOT NULL CHECK (length(account_key) <= 2000),
    failures integer NOT NULL CHECK (failures >= 0),
    last_failure_at datetime,
    next_try_at datetime,
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, account_key),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE sessions (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    staff_id text NOT NULL CHECK (length(staff_id) = 36),
    kind text NOT NULL CHECK (kind IN ('api', 'browser')),
    session_version integer NOT NULL CHECK (session_version >= 0),
    started_at datetime NOT NULL,
    last_used_at datetime NOT NULL,
    idle_until datetime NOT NULL,
    expires_at datetime NOT NULL,
    ended_at datetime,
    ended_because text NOT NULL CHECK (length(ended_because) <= 2000),
    user_agent text NOT NULL CHECK (length(user_agent) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, staff_id) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE refresh_tokens (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    session_id text NOT NULL CHECK (length(session_id) = 36),
    token_hash text NOT NULL CHECK (length(token_hash) <= 2000),
    used_at datetime,
    successor_hash text NOT NULL CHECK (length(successor_hash) <= 2000),
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, token_hash),
    FOREIGN KEY (shop_id, session_id) REFERENCES sessions (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE tablets (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    name text NOT NULL CHECK (length(name) <= 2000),
    enrol_hash text NOT NULL CHECK (length(enrol_hash) <= 2000),
    enrol_until datetime,
    secret_hash text NOT NULL CHECK (length(secret_hash) <= 2000),
    enrolled_at datetime,
    last_heard_at datetime,
    unsent integer NOT NULL CHECK (unsent >= 0),
    revoked_at datetime,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE sign_ons (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    tablet_id text NOT NULL CHECK (length(tablet_id) = 36),
    staff_id text NOT NULL CHECK (length(staff_id) = 36),
    session_version integer NOT NULL CHECK (session_version >= 0),
    started_at datetime NOT NULL,
    last_used_at datetime NOT NULL,
    expires_at datetime NOT NULL,
    ended_at datetime,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, staff_id) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE security_events (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    kind text NOT NULL CHECK (length(kind) <= 2000),
    staff_id text CHECK (length(staff_id) = 36),
    happened_at datetime NOT NULL,
    ip text NOT NULL CHECK (length(ip) <= 2000),
    note text NOT NULL CHECK (length(note) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, staff_id) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE bays (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    name text NOT NULL CHECK (length(name) <= 2000),
    retired boolean NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE tax_categories (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    code text NOT NULL CHECK (length(code) <= 2000),
    label text NOT NULL CHECK (length(label) <= 2000),
    rate_ppm integer NOT NULL CHECK (rate_ppm >= 0),
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, code),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE labour_rates (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    name text NOT NULL CHECK (length(name) <= 2000),
    per_hour integer NOT NULL CHECK (per_hour >= 0),
    tax_category text NOT NULL CHECK (length(tax_category) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE gauges (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    name text NOT NULL CHECK (length(name) <= 2000),
    kind text NOT NULL CHECK (length(kind) <= 2000),
    serial text NOT NULL CHECK (length(serial) <= 2000),
    resolution_value text NOT NULL CHECK (length(resolution_value) <= 32),
    resolution_unit text NOT NULL CHECK (length(resolution_unit) <= 32),
    resolution_entered text NOT NULL CHECK (length(resolution_entered) <= 64),
    uncertainty_value text NOT NULL CHECK (length(uncertainty_value) <= 32),
    uncertainty_unit text NOT NULL CHECK (length(uncertainty_unit) <= 32),
    uncertainty_entered text NOT NULL CHECK (length(uncertainty_entered) <= 64),
    calibrated_on text NOT NULL CHECK (calibrated_on = '' OR length(calibrated_on) = 10),
    calibration_due_on text NOT NULL CHECK (calibration_due_on = '' OR length(calibration_due_on) = 10),
    certificate text NOT NULL CHECK (length(certificate) <= 2000),
    retired boolean NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE layouts (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    code text NOT NULL CHECK (length(code) <= 2000),
    revision integer NOT NULL CHECK (revision >= 0),
    title text NOT NULL CHECK (length(title) <= 2000),
    example boolean NOT NULL,
    document blob NOT NULL,
    sha256 text NOT NULL CHECK (length(sha256) <= 2000),
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, code, revision),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE limit_sheets (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    code text NOT NULL CHECK (length(code) <= 2000),
    revision integer NOT NULL CHECK (revision >= 0),
    title text NOT NULL CHECK (length(title) <= 2000),
    make text NOT NULL CHECK (length(make) <= 2000),
    model text NOT NULL CHECK (length(model) <= 2000),
    year_from integer CHECK (year_from >= 0),
    year_to integer CHECK (year_to >= 0),
    example boolean NOT NULL,
    document blob NOT NULL,
    sha256 text NOT NULL CHECK (length(sha256) <= 2000),
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, code, revision),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE customers (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    name text NOT NULL CHECK (length(name) <= 2000),
    kind text NOT NULL CHECK (kind IN ('person', 'business')),
    phone text NOT NULL CHECK (length(phone) <= 2000),
    phone_e164 text NOT NULL CHECK (length(phone_e164) <= 2000),
    email text NOT NULL CHECK (length(email) <= 2000),
    address text NOT NULL CHECK (length(address) <= 10000),
    language text NOT NULL CHECK (length(language) <= 2000),
    contact_by text NOT NULL CHECK (contact_by IN ('phone', 'text', 'email', 'post')),
    note text NOT NULL CHECK (length(note) <= 10000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE machines (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    customer_id text NOT NULL CHECK (length(customer_id) = 36),
    vin text NOT NULL CHECK (length(vin) <= 2000),
    vin_verdict text NOT NULL CHECK (vin_verdict IN ('unknown', 'ok', 'mismatch', 'not_applicable')),
    frame_number text NOT NULL CHECK (length(frame_number) <= 2000),
    plate text NOT NULL CHECK (length(plate) <= 2000),
    make text NOT NULL CHECK (length(make) <= 2000),
    model text NOT NULL CHECK (length(model) <= 2000),
    year integer CHECK (year >= 0),
    market text NOT NULL CHECK (length(market) <= 2000),
    colour text NOT NULL CHECK (length(colour) <= 2000),
    layout_id text CHECK (length(layout_id) = 36),
    note text NOT NULL CHECK (length(note) <= 10000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, customer_id) REFERENCES customers (shop_id, id),
    FOREIGN KEY (shop_id, layout_id) REFERENCES layouts (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE odometer_readings (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    machine_id text NOT NULL CHECK (length(machine_id) = 36),
    moment text NOT NULL CHECK (length(moment) <= 2000),
    reading_value text NOT NULL CHECK (length(reading_value) <= 32),
    reading_unit text NOT NULL CHECK (length(reading_unit) <= 32),
    reading_entered text NOT NULL CHECK (length(reading_entered) <= 64),
    not_readable_because text NOT NULL CHECK (length(not_readable_because) <= 2000),
    read_at datetime NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, machine_id) REFERENCES machines (shop_id, id)
);

CREATE INDEX odometer_readings_by_work_order ON odometer_readings (shop_id, work_order_id, id);

CREATE TABLE work_orders (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    number integer NOT NULL CHECK (number >= 0),
    machine_id text NOT NULL CHECK (length(machine_id) = 36),
    customer_id text NOT NULL CHECK (length(customer_id) = 36),
    channel text NOT NULL CHECK (channel IN ('walk_in', 'phone', 'email', 'message', 'towed_in')),
    bay_id text CHECK (length(bay_id) = 36),
    promised_on text NOT NULL CHECK (promised_on = '' OR length(promised_on) = 10),
    note text NOT NULL CHECK (length(note) <= 10000),
    opened_by text NOT NULL CHECK (length(opened_by) = 36),
    opened_at datetime NOT NULL,
    closed_at datetime,
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, number),
    FOREIGN KEY (shop_id, machine_id) REFERENCES machines (shop_id, id),
    FOREIGN KEY (shop_id, customer_id) REFERENCES customers (shop_id, id),
    FOREIGN KEY (shop_id, bay_id) REFERENCES bays (shop_id, id),
    FOREIGN KEY (shop_id, opened_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id) REFERENCES shop_slugs (shop_id)
);

CREATE TABLE intake_facts (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    odometer_value text NOT NULL CHECK (length(odometer_value) <= 32),
    odometer_unit text NOT NULL CHECK (length(odometer_unit) <= 32),
    odometer_entered text NOT NULL CHECK (length(odometer_entered) <= 64),
    odometer_not_readable text NOT NULL CHECK (length(odometer_not_readable) <= 2000),
    keys integer NOT NULL CHECK (keys >= 0),
    luggage text NOT NULL CHECK (length(luggage) <= 2000),
    fuel text NOT NULL CHECK (length(fuel) <= 2000),
    damage text NOT NULL CHECK (length(damage) <= 10000),
    leave_to_ride text NOT NULL CHECK (leave_to_ride IN ('yes', 'no', 'not_known')),
    call_above integer CHECK (call_above >= 0),
    intent text NOT NULL CHECK (intent IN ('keep', 'sell', 'one_more_season', 'not_said')),
    old_parts text NOT NULL CHECK (old_parts IN ('return', 'keep', 'exchange', 'dispose', 'not_said')),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE TABLE bills (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    number integer NOT NULL CHECK (number >= 0),
    job_ids text NOT NULL,
    document blob NOT NULL,
    sha256 text NOT NULL CHECK (length(sha256) <= 2000),
    net integer NOT NULL CHECK (net >= 0),
    tax integer NOT NULL CHECK (tax >= 0),
    gross integer NOT NULL CHECK (gross >= 0),
    on_terms boolean NOT NULL,
    terms_note text NOT NULL CHECK (length(terms_note) <= 2000),
    issued_by text NOT NULL CHECK (length(issued_by) = 36),
    issued_at datetime NOT NULL,
    voided_at datetime,
    void_reason text NOT NULL CHECK (length(void_reason) <= 2000),
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, number),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, issued_by) REFERENCES staff (shop_id, id)
);

CREATE INDEX bills_by_work_order ON bills (shop_id, work_order_id, id);

CREATE TABLE payments (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    bill_id text CHECK (length(bill_id) = 36),
    kind text NOT NULL CHECK (kind IN ('payment', 'deposit', 'refund')),
    method text NOT NULL CHECK (method IN ('cash', 'card', 'transfer', 'other')),
    amount integer NOT NULL CHECK (amount >= 0),
    taken_by text NOT NULL CHECK (length(taken_by) = 36),
    taken_at datetime NOT NULL,
    note text NOT NULL CHECK (length(note) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, bill_id) REFERENCES bills (shop_id, id),
    FOREIGN KEY (shop_id, taken_by) REFERENCES staff (shop_id, id)
);

CREATE INDEX payments_by_work_order ON payments (shop_id, work_order_id, id);

CREATE TABLE jobs (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    title text NOT NULL CHECK (length(title) <= 2000),
    kind text NOT NULL CHECK (kind IN ('complaint', 'request')),
    stage text NOT NULL CHECK (stage IN ('intake', 'diagnosis', 'teardown', 'authorization', 'repair', 'road_test', 'release', 'closed', 'withdrawn')),
    stage_since datetime NOT NULL,
    not_run boolean NOT NULL,
    earlier_job_id text CHECK (length(earlier_job_id) = 36),
    layout_id text CHECK (length(layout_id) = 36),
    limit_sheet_id text CHECK (length(limit_sheet_id) = 36),
    diagnosis_free boolean NOT NULL,
    opened_up boolean NOT NULL,
    nothing_came_off text NOT NULL CHECK (length(nothing_came_off) <= 2000),
    engine_opened boolean NOT NULL,
    pressure_in_question boolean NOT NULL,
    oil_out boolean NOT NULL,
    circuit_open boolean NOT NULL,
    teardown_wanted boolean NOT NULL,
    no_bill_because text NOT NULL CHECK (length(no_bill_because) <= 2000),
    not_run_because text NOT NULL CHECK (length(not_run_because) <= 2000),
    not_run_state text NOT NULL CHECK (not_run_state IN ('', 'complete', 'in_boxes', 'movable_only')),
    debris_in_question boolean NOT NULL,
    as_found_waived text NOT NULL CHECK (length(as_found_waived) <= 2000),
    cause_undetermined text NOT NULL CHECK (length(cause_undetermined) <= 2000),
    deposit_asked integer CHECK (deposit_asked >= 0),
    claim_possible boolean NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, earlier_job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, layout_id) REFERENCES layouts (shop_id, id),
    FOREIGN KEY (shop_id, limit_sheet_id) REFERENCES limit_sheets (shop_id, id)
);

CREATE INDEX jobs_by_work_order ON jobs (shop_id, work_order_id, id);

CREATE TABLE complaints (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    kind text NOT NULL CHECK (kind IN ('complaint', 'request')),
    words text NOT NULL CHECK (length(words) <= 10000),
    symptom text NOT NULL CHECK (symptom IN ('noise', 'no_start', 'leak', 'vibration', 'smoke', 'warning_lamp', 'brakes', 'handling', 'electrical', 'running', 'other')),
    place text NOT NULL CHECK (length(place) <= 2000),
    circumstances text NOT NULL CHECK (length(circumstances) <= 2000),
    since text NOT NULL CHECK (length(since) <= 2000),
    how_often text NOT NULL CHECK (length(how_often) <= 2000),
    answer text NOT NULL CHECK (answer IN ('', 'finding', 'request', 'normal_for_machine', 'not_reproduced', 'not_looked_into', 'not_explained')),
    answer_finding_id text CHECK (length(answer_finding_id) = 36),
    answer_note text NOT NULL CHECK (length(answer_note) <= 10000),
    again text NOT NULL CHECK (again IN ('', 'gone', 'still_there', 'changed', 'not_ridden')),
    again_note text NOT NULL CHECK (length(again_note) <= 2000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, answer_finding_id) REFERENCES findings (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX complaints_by_job ON complaints (shop_id, job_id, id);

CREATE TABLE checks (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    what text NOT NULL CHECK (length(what) <= 2000),
    outcome text NOT NULL CHECK (outcome IN ('ok', 'not_ok', 'not_possible')),
    reading_value text NOT NULL CHECK (length(reading_value) <= 32),
    reading_unit text NOT NULL CHECK (length(reading_unit) <= 32),
    reading_entered text NOT NULL CHECK (length(reading_entered) <= 64),
    minutes integer NOT NULL CHECK (minutes >= 0),
    note text NOT NULL CHECK (length(note) <= 10000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX checks_by_job ON checks (shop_id, job_id, id);

CREATE TABLE as_found (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    what text NOT NULL CHECK (length(what) <= 2000),
    reading_value text NOT NULL CHECK (length(reading_value) <= 32),
    reading_unit text NOT NULL CHECK (length(reading_unit) <= 32),
    reading_entered text NOT NULL CHECK (length(reading_entered) <= 64),
    mark text NOT NULL CHECK (length(mark) <= 2000),
    waived_because text NOT NULL CHECK (length(waived_because) <= 2000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX as_found_by_job ON as_found (shop_id, job_id, id);

CREATE TABLE findings (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    complaint_id text CHECK (length(complaint_id) = 36),
    component text NOT NULL CHECK (length(component) <= 2000),
    members text NOT NULL,
    looked_at_grade integer CHECK (looked_at_grade >= 0),
    measured_grade integer CHECK (measured_grade >= 0),
    effective_grade integer CHECK (effective_grade >= 0),
    damage_mode text NOT NULL CHECK (damage_mode IN ('', 'cracked', 'bent', 'broken', 'stripped_thread', 'heat_blued', 'scored', 'wiped', 'seized', 'worn', 'stretched', 'hooked', 'hollowed', 'burnt', 'warped', 'corroded', 'chafed', 'perished', 'leaking', 'contaminated', 'loose', 'missing', 'wrong_part', 'badly_fitted_before', 'electrical_open', 'electrical_short', 'surface_fatigue', 'scuffing', 'plastic_deformation', 'tooth_breakage', 'fretting', 'overheated', 'indented')),
    pieces text NOT NULL CHECK (pieces IN ('none', 'missing', 'found')),
    in_pieces boolean NOT NULL,
    laid_out boolean NOT NULL,
    first_cause boolean NOT NULL,
    caused_by_id text CHECK (length(caused_by_id) = 36),
    safe_to_ride text NOT NULL CHECK (safe_to_ride IN ('yes', 'no', 'not_known')),
    advised text NOT NULL CHECK (advised IN ('', 'reuse', 'clean_and_reuse', 'adjust', 'rework', 'send_out', 'replace', 'look_further', 'watch')),
    watch_at text NOT NULL CHECK (length(watch_at) <= 2000),
    reached_by_debris boolean NOT NULL,
    not_looked_because text NOT NULL CHECK (length(not_looked_because) <= 2000),
    evidence_because text NOT NULL CHECK (length(evidence_because) <= 2000),
    note text NOT NULL CHECK (length(note) <= 10000),
    danger_outcome text NOT NULL CHECK (danger_outcome IN ('', 'repaired', 'leaves_on_trailer', 'owner_insists')),
    danger_warning text NOT NULL CHECK (length(danger_warning) <= 10000),
    danger_witness text NOT NULL CHECK (length(danger_witness) <= 2000),
    danger_at datetime,
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, complaint_id) REFERENCES complaints (shop_id, id),
    FOREIGN KEY (shop_id, caused_by_id) REFERENCES findings (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX findings_by_job ON findings (shop_id, job_id, id);

CREATE TABLE measurements (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    finding_id text NOT NULL CHECK (length(finding_id) = 36),
    point text NOT NULL CHECK (length(point) <= 2000),
    gauge_id text CHECK (length(gauge_id) = 36),
    readings blob NOT NULL,
    result_value text NOT NULL CHECK (length(result_value) <= 32),
    result_unit text NOT NULL CHECK (length(result_unit) <= 32),
    result_entered text NOT NULL CHECK (length(result_entered) <= 64),
    uncertainty_value text NOT NULL CHECK (length(uncertainty_value) <= 32),
    uncertainty_unit text NOT NULL CHECK (length(uncertainty_unit) <= 32),
    uncertainty_entered text NOT NULL CHECK (length(uncertainty_entered) <= 64),
    verdict text NOT NULL CHECK (length(verdict) <= 2000),
    grade integer CHECK (grade >= 0),
    indicative boolean NOT NULL,
    limit_source text NOT NULL CHECK (length(limit_source) <= 2000),
    inputs blob NOT NULL,
    engine_revision text NOT NULL CHECK (length(engine_revision) <= 2000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, finding_id) REFERENCES findings (shop_id, id),
    FOREIGN KEY (shop_id, gauge_id) REFERENCES gauges (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX measurements_by_job ON measurements (shop_id, job_id, id);

CREATE TABLE photos (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    finding_id text CHECK (length(finding_id) = 36),
    file_name text NOT NULL CHECK (length(file_name) <= 2000),
    media_type text NOT NULL CHECK (length(media_type) <= 2000),
    size_bytes integer NOT NULL CHECK (size_bytes >= 0),
    original_sha256 text NOT NULL CHECK (length(original_sha256) <= 2000),
    stored_sha256 text NOT NULL CHECK (length(stored_sha256) <= 2000),
    width integer NOT NULL CHECK (width >= 0),
    height integer NOT NULL CHECK (height >= 0),
    marks blob NOT NULL,
    stored_at datetime,
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, finding_id) REFERENCES findings (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX photos_by_job ON photos (shop_id, job_id, id);

CREATE TABLE tags (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    number integer NOT NULL CHECK (number >= 0),
    code text NOT NULL CHECK (length(code) <= 2000),
    kind text NOT NULL CHECK (kind IN ('parts', 'fasteners')),
    holds text NOT NULL CHECK (length(holds) <= 2000),
    from_where text NOT NULL CHECK (length(from_where) <= 2000),
    lies_at text NOT NULL CHECK (length(lies_at) <= 2000),
    outcome text NOT NULL CHECK (outcome IN ('', 'refitted', 'replaced', 'returned', 'kept', 'scrapped', 'off_on_purpose', 'with_machine')),
    outcome_note text NOT NULL CHECK (length(outcome_note) <= 2000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, code),
    UNIQUE (shop_id, work_order_id, number),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX tags_by_job ON tags (shop_id, job_id, id);

CREATE TABLE lines (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    kind text NOT NULL CHECK (kind IN ('labour', 'part', 'consumable', 'sublet', 'fee')),
    description text NOT NULL CHECK (length(description) <= 2000),
    work text NOT NULL CHECK (work IN ('diagnosis', 'teardown', 'reassembly', 'repair')),
    finding_id text CHECK (length(finding_id) = 36),
    complaint_id text CHECK (length(complaint_id) = 36),
    quantity_milli integer NOT NULL CHECK (quantity_milli >= 0),
    minutes integer NOT NULL CHECK (minutes >= 0),
    unit_price integer NOT NULL CHECK (unit_price >= 0),
    tax_category text NOT NULL CHECK (length(tax_category) <= 2000),
    certainty text NOT NULL CHECK (certainty IN ('certain', 'possible')),
    ceiling integer CHECK (ceiling >= 0),
    after_ride boolean NOT NULL,
    part_number text NOT NULL CHECK (length(part_number) <= 2000),
    part_condition text NOT NULL CHECK (part_condition IN ('', 'new', 'used', 'rebuilt', 'reconditioned', 'exchange')),
    state text NOT NULL CHECK (state IN ('proposed', 'agreed', 'done', 'struck')),
    consent_id text CHECK (length(consent_id) = 36),
    done_by text CHECK (length(done_by) = 36),
    done_at datetime,
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, finding_id) REFERENCES findings (shop_id, id),
    FOREIGN KEY (shop_id, complaint_id) REFERENCES complaints (shop_id, id),
    FOREIGN KEY (shop_id, consent_id) REFERENCES consents (shop_id, id),
    FOREIGN KEY (shop_id, done_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX lines_by_job ON lines (shop_id, job_id, id);

CREATE TABLE part_orders (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    line_id text CHECK (length(line_id) = 36),
    part_number text NOT NULL CHECK (length(part_number) <= 2000),
    description text NOT NULL CHECK (length(description) <= 2000),
    supplier text NOT NULL CHECK (length(supplier) <= 2000),
    quantity_milli integer NOT NULL CHECK (quantity_milli >= 0),
    ordered_on text NOT NULL CHECK (ordered_on = '' OR length(ordered_on) = 10),
    promised_on text NOT NULL CHECK (promised_on = '' OR length(promised_on) = 10),
    arrived_on text NOT NULL CHECK (arrived_on = '' OR length(arrived_on) = 10),
    price_then integer CHECK (price_then >= 0),
    price_now integer CHECK (price_now >= 0),
    superseded_by text NOT NULL CHECK (length(superseded_by) <= 2000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, line_id) REFERENCES lines (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX part_orders_by_job ON part_orders (shop_id, job_id, id);

CREATE TABLE bench_times (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    staff_id text NOT NULL CHECK (length(staff_id) = 36),
    started_at datetime NOT NULL,
    ended_at datetime,
    work text NOT NULL CHECK (length(work) <= 2000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, staff_id) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX bench_times_by_job ON bench_times (shop_id, job_id, id);

CREATE TABLE promises (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    what text NOT NULL CHECK (length(what) <= 2000),
    promised_on text NOT NULL CHECK (promised_on = '' OR length(promised_on) = 10),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX promises_by_job ON promises (shop_id, job_id, id);

CREATE TABLE scopes (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    title text NOT NULL CHECK (length(title) <= 2000),
    kind text NOT NULL CHECK (kind IN ('diagnosis', 'teardown', 'repair', 'more_found', 'put_back')),
    line_ids text NOT NULL,
    what_we_do text NOT NULL CHECK (length(what_we_do) <= 10000),
    stays_unknown text NOT NULL CHECK (length(stays_unknown) <= 10000),
    earliest_on text NOT NULL CHECK (earliest_on = '' OR length(earliest_on) = 10),
    may_ride text NOT NULL CHECK (may_ride IN ('yes', 'no', 'after_work', 'not_known')),
    ride_note text NOT NULL CHECK (length(ride_note) <= 10000),
    warranty text NOT NULL CHECK (length(warranty) <= 10000),
    deposit integer CHECK (deposit >= 0),
    teardown_terms text,
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX scopes_by_job ON scopes (shop_id, job_id, id);

CREATE TABLE offers (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    number integer NOT NULL CHECK (number >= 0),
    kind text NOT NULL CHECK (kind IN ('diagnosis', 'teardown', 'repair', 'more_found', 'put_back')),
    scope_ids text NOT NULL,
    document blob NOT NULL,
    sha256 text NOT NULL CHECK (length(sha256) <= 2000),
    rule_id text NOT NULL CHECK (length(rule_id) <= 2000),
    price_until text NOT NULL CHECK (price_until = '' OR length(price_until) = 10),
    state text NOT NULL CHECK (state IN ('open', 'decided', 'withdrawn', 'changed', 'lapsed')),
    new_findings boolean NOT NULL,
    asked_by text NOT NULL CHECK (length(asked_by) = 36),
    asked_at datetime NOT NULL,
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, work_order_id, number),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, asked_by) REFERENCES staff (shop_id, id)
);

CREATE INDEX offers_by_job ON offers (shop_id, job_id, id);

CREATE TABLE offer_links (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    offer_id text NOT NULL CHECK (length(offer_id) = 36),
    token_hash text NOT NULL CHECK (length(token_hash) <= 2000),
    view_until datetime NOT NULL,
    decide_until datetime NOT NULL,
    revoked_at datetime,
    used_at datetime,
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, token_hash),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, offer_id) REFERENCES offers (shop_id, id)
);

CREATE INDEX offer_links_by_job ON offer_links (shop_id, job_id, id);

CREATE TABLE consents (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    offer_id text CHECK (length(offer_id) = 36),
    scope_id text CHECK (length(scope_id) = 36),
    kind text NOT NULL CHECK (kind IN ('diagnosis', 'teardown', 'repair', 'more_found', 'drop_off', 'put_back')),
    decision text NOT NULL CHECK (decision IN ('agreed', 'declined')),
    method text NOT NULL CHECK (method IN ('link', 'spoken', 'in_person', 'message')),
    typed_name text NOT NULL CHECK (length(typed_name) <= 2000),
    relation text NOT NULL CHECK (length(relation) <= 2000),
    identified_how text NOT NULL CHECK (length(identified_how) <= 2000),
    contact_used text NOT NULL CHECK (length(contact_used) <= 2000),
    taken_by text CHECK (length(taken_by) = 36),
    said_at datetime NOT NULL,
    device_time text NOT NULL CHECK (length(device_time) <= 2000),
    shown_sha256 text NOT NULL CHECK (length(shown_sha256) <= 2000),
    limit_amount integer CHECK (limit_amount >= 0),
    net integer NOT NULL CHECK (net >= 0),
    tax integer NOT NULL CHECK (tax >= 0),
    gross integer NOT NULL CHECK (gross >= 0),
    wording text NOT NULL CHECK (length(wording) <= 10000),
    electronic_version text NOT NULL CHECK (length(electronic_version) <= 2000),
    ip text NOT NULL CHECK (length(ip) <= 2000),
    user_agent text NOT NULL CHECK (length(user_agent) <= 2000),
    link_hash text NOT NULL CHECK (length(link_hash) <= 2000),
    copy_to text NOT NULL CHECK (length(copy_to) <= 2000),
    copy_sent_at datetime,
    note text NOT NULL CHECK (length(note) <= 10000),
    revoked_at datetime,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, offer_id) REFERENCES offers (shop_id, id),
    FOREIGN KEY (shop_id, scope_id) REFERENCES scopes (shop_id, id),
    FOREIGN KEY (shop_id, taken_by) REFERENCES staff (shop_id, id)
);

CREATE INDEX consents_by_job ON consents (shop_id, job_id, id);

CREATE TABLE fastenings (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    component text NOT NULL CHECK (length(component) <= 2000),
    joint text NOT NULL CHECK (length(joint) <= 2000),
    safety_class text NOT NULL CHECK (safety_class IN ('critical', 'ordinary')),
    hold_point_id text CHECK (length(hold_point_id) = 36),
    target_value text NOT NULL CHECK (length(target_value) <= 32),
    target_unit text NOT NULL CHECK (length(target_unit) <= 32),
    target_entered text NOT NULL CHECK (length(target_entered) <= 64),
    stages text NOT NULL CHECK (length(stages) <= 2000),
    angle text NOT NULL CHECK (length(angle) <= 2000),
    joint_condition text NOT NULL CHECK (joint_condition IN ('dry', 'oiled', 'locker', 'as_supplied')),
    new_fastener text NOT NULL CHECK (new_fastener IN ('yes', 'no', 'not_needed')),
    source text NOT NULL CHECK (length(source) <= 2000),
    tool text NOT NULL CHECK (length(tool) <= 2000),
    wrench_id text CHECK (length(wrench_id) = 36),
    applied_value text NOT NULL CHECK (length(applied_value) <= 32),
    applied_unit text NOT NULL CHECK (length(applied_unit) <= 32),
    applied_entered text NOT NULL CHECK (length(applied_entered) <= 64),
    done_by text CHECK (length(done_by) = 36),
    done_at datetime,
    checked_by text CHECK (length(checked_by) = 36),
    checked_at datetime,
    check_target_value text NOT NULL CHECK (length(check_target_value) <= 32),
    check_target_unit text NOT NULL CHECK (length(check_target_unit) <= 32),
    check_target_entered text NOT NULL CHECK (length(check_target_entered) <= 64),
    check_setting_value text NOT NULL CHECK (length(check_setting_value) <= 32),
    check_setting_unit text NOT NULL CHECK (length(check_setting_unit) <= 32),
    check_setting_entered text NOT NULL CHECK (length(check_setting_entered) <= 64),
    watched boolean NOT NULL,
    marked boolean NOT NULL,
    self_reinspection boolean NOT NULL,
    redo_because text NOT NULL CHECK (length(redo_because) <= 2000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    CHECK (checked_by IS NULL OR checked_by <> done_by OR self_reinspection),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, hold_point_id) REFERENCES hold_points (shop_id, id),
    FOREIGN KEY (shop_id, wrench_id) REFERENCES gauges (shop_id, id),
    FOREIGN KEY (shop_id, done_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, checked_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX fastenings_by_job ON fastenings (shop_id, job_id, id);

CREATE TABLE hold_points (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    before text NOT NULL CHECK (length(before) <= 2000),
    passed_by text CHECK (length(passed_by) = 36),
    passed_at datetime,
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, passed_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX hold_points_by_job ON hold_points (shop_id, job_id, id);

CREATE TABLE first_starts (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    turned_by_hand boolean NOT NULL,
    marks_reread boolean NOT NULL,
    no_marks_because text NOT NULL CHECK (length(no_marks_because) <= 2000),
    oil_in_and_primed boolean NOT NULL,
    no_leaks boolean NOT NULL,
    tools_out boolean NOT NULL,
    pressure_value text NOT NULL CHECK (length(pressure_value) <= 32),
    pressure_unit text NOT NULL CHECK (length(pressure_unit) <= 32),
    pressure_entered text NOT NULL CHECK (length(pressure_entered) <= 64),
    pressure_not_possible text NOT NULL CHECK (length(pressure_not_possible) <= 2000),
    started_at datetime,
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    CHECK (id = job_id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX first_starts_by_job ON first_starts (shop_id, job_id, id);

CREATE TABLE road_tests (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    kind text NOT NULL CHECK (kind IN ('ride', 'stand_run', 'rolling_road')),
    instead_because text NOT NULL CHECK (length(instead_because) <= 2000),
    brakes text NOT NULL CHECK (brakes IN ('', 'ok', 'not_ok', 'not_fitted')),
    wheels text NOT NULL CHECK (wheels IN ('', 'ok', 'not_ok', 'not_fitted')),
    steering text NOT NULL CHECK (steering IN ('', 'ok', 'not_ok', 'not_fitted')),
    throttle text NOT NULL CHECK (throttle IN ('', 'ok', 'not_ok', 'not_fitted')),
    chain text NOT NULL CHECK (chain IN ('', 'ok', 'not_ok', 'not_fitted')),
    leaks text NOT NULL CHECK (leaks IN ('', 'ok', 'not_ok', 'not_fitted')),
    lights text NOT NULL CHECK (lights IN ('', 'ok', 'not_ok', 'not_fitted')),
    checked_at datetime,
    rider_id text CHECK (length(rider_id) = 36),
    odometer_out_value text NOT NULL CHECK (length(odometer_out_value) <= 32),
    odometer_out_unit text NOT NULL CHECK (length(odometer_out_unit) <= 32),
    odometer_out_entered text NOT NULL CHECK (length(odometer_out_entered) <= 64),
    odometer_back_value text NOT NULL CHECK (length(odometer_back_value) <= 32),
    odometer_back_unit text NOT NULL CHECK (length(odometer_back_unit) <= 32),
    odometer_back_entered text NOT NULL CHECK (length(odometer_back_entered) <= 64),
    outcome text NOT NULL CHECK (outcome IN ('', 'ok', 'fault')),
    fault_finding_id text CHECK (length(fault_finding_id) = 36),
    note text NOT NULL CHECK (length(note) <= 10000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, rider_id) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, fault_finding_id) REFERENCES findings (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX road_tests_by_job ON road_tests (shop_id, job_id, id);

CREATE TABLE debris_checks (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    moment text NOT NULL CHECK (moment IN ('stand_run', 'ride', 'first_distance')),
    sampled text NOT NULL CHECK (sampled IN ('plug', 'filter', 'oil', 'screen')),
    amount text NOT NULL CHECK (amount IN ('none', 'fuzz', 'flakes', 'chunks')),
    coarse_new boolean NOT NULL,
    falling boolean NOT NULL,
    next_on text NOT NULL CHECK (next_on = '' OR length(next_on) = 10),
    next_distance text NOT NULL CHECK (length(next_distance) <= 2000),
    note text NOT NULL CHECK (length(note) <= 10000),
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX debris_checks_by_job ON debris_checks (shop_id, job_id, id);

CREATE TABLE hand_overs (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    handed_to text NOT NULL CHECK (length(handed_to) <= 2000),
    transport text NOT NULL CHECK (transport IN ('ridden', 'trailer', 'van', 'carried')),
    do_not_start_told boolean NOT NULL,
    old_parts text NOT NULL CHECK (old_parts IN ('returned', 'kept', 'exchanged', 'disposed', 'none_replaced')),
    old_parts_note text NOT NULL CHECK (length(old_parts_note) <= 2000),
    advice_given boolean NOT NULL,
    still_open text NOT NULL CHECK (length(still_open) <= 10000),
    recheck_on text NOT NULL CHECK (recheck_on = '' OR length(recheck_on) = 10),
    evidence_until text NOT NULL CHECK (evidence_until = '' OR length(evidence_until) = 10),
    cautions_told boolean NOT NULL,
    self_reinspection_told boolean NOT NULL,
    odometer_out_value text NOT NULL CHECK (length(odometer_out_value) <= 32),
    odometer_out_unit text NOT NULL CHECK (length(odometer_out_unit) <= 32),
    odometer_out_entered text NOT NULL CHECK (length(odometer_out_entered) <= 64),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    CHECK (id = job_id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX hand_overs_by_job ON hand_overs (shop_id, job_id, id);

CREATE TABLE advice (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    kind text NOT NULL CHECK (kind IN ('advice', 'recheck', 'still_open')),
    words text NOT NULL CHECK (length(words) <= 10000),
    due_on text NOT NULL CHECK (due_on = '' OR length(due_on) = 10),
    due_distance text NOT NULL CHECK (length(due_distance) <= 2000),
    told boolean NOT NULL,
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX advice_by_job ON advice (shop_id, job_id, id);

CREATE TABLE holds (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    reason text NOT NULL CHECK (reason IN ('parts', 'customer', 'outside', 'other')),
    note text NOT NULL CHECK (length(note) <= 2000),
    until_on text NOT NULL CHECK (until_on = '' OR length(until_on) = 10),
    held_by text NOT NULL CHECK (length(held_by) = 36),
    held_at datetime NOT NULL,
    lifted_by text CHECK (length(lifted_by) = 36),
    lifted_at datetime,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, held_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, lifted_by) REFERENCES staff (shop_id, id)
);

CREATE INDEX holds_by_job ON holds (shop_id, job_id, id);

CREATE TABLE hand_over_notes (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    machine_state text NOT NULL CHECK (length(machine_state) <= 2000),
    do_not_start boolean NOT NULL,
    words text NOT NULL CHECK (length(words) <= 10000),
    read_by text CHECK (length(read_by) = 36),
    read_at datetime,
    struck_at datetime,
    struck_by text CHECK (length(struck_by) = 36),
    struck_reason text NOT NULL CHECK (length(struck_reason) <= 2000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, read_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, struck_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX hand_over_notes_by_job ON hand_over_notes (shop_id, job_id, id);

CREATE TABLE withdrawals (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    work_order_id text NOT NULL CHECK (length(work_order_id) = 36),
    job_id text NOT NULL CHECK (length(job_id) = 36),
    reason text NOT NULL CHECK (length(reason) <= 10000),
    machine_state text NOT NULL CHECK (machine_state IN ('complete', 'in_boxes', 'movable_only')),
    asked_by text NOT NULL CHECK (length(asked_by) <= 2000),
    warnings_told text NOT NULL CHECK (length(warnings_told) <= 10000),
    recorded_by text NOT NULL CHECK (length(recorded_by) = 36),
    tablet_id text CHECK (length(tablet_id) = 36),
    sign_on_id text CHECK (length(sign_on_id) = 36),
    captured_at datetime,
    received_at datetime NOT NULL,
    late boolean NOT NULL,
    created_digest text NOT NULL,
    body_digest text NOT NULL,
    PRIMARY KEY (shop_id, id),
    CHECK (id = job_id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, recorded_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, sign_on_id) REFERENCES sign_ons (shop_id, id)
);

CREATE INDEX withdrawals_by_job ON withdrawals (shop_id, job_id, id);

CREATE INDEX jobs_open ON jobs (shop_id, stage, stage_since);
CREATE INDEX machines_by_customer ON machines (shop_id, customer_id);
CREATE INDEX work_orders_by_machine ON work_orders (shop_id, machine_id, id);
CREATE INDEX work_orders_by_customer ON work_orders (shop_id, customer_id, id);
CREATE INDEX customers_by_phone ON customers (shop_id, phone_e164);
CREATE INDEX sessions_by_staff ON sessions (shop_id, staff_id);
CREATE INDEX outbox_due ON outbox (due_at) WHERE done_at IS NULL;

-- +goose StatementBegin
CREATE TRIGGER journal_entries_no_update BEFORE UPDATE ON journal_entries BEGIN SELECT RAISE(ABORT, 'journal entries are insert-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_entries_no_delete BEFORE DELETE ON journal_entries BEGIN SELECT RAISE(ABORT, 'journal entries are insert-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_bodies_no_update BEFORE UPDATE ON journal_bodies BEGIN SELECT RAISE(ABORT, 'journal bodies are erased, never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_leaves_no_update BEFORE UPDATE ON journal_leaves BEGIN SELECT RAISE(ABORT, 'journal leaves are insert-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_leaves_no_delete BEFORE DELETE ON journal_leaves BEGIN SELECT RAISE(ABORT, 'journal leaves are insert-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_checkpoints_no_update BEFORE UPDATE ON journal_checkpoints BEGIN SELECT RAISE(ABORT, 'checkpoints are insert-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER journal_checkpoints_no_delete BEFORE DELETE ON journal_checkpoints BEGIN SELECT RAISE(ABORT, 'checkpoints are insert-only'); END;
-- +goose StatementEnd
