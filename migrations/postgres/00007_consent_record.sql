-- +goose Up
-- What makes the record of an answer complete: how it was shown and read out,
-- what was said back, when it will be ready, the statement on electronic form;
-- how an answer ended; what a customer asks on the page of a link; and papers
-- that must be kept whatever their age.
ALTER TABLE consents ADD COLUMN shown_as text NOT NULL DEFAULT '' CHECK (shown_as IN ('', 'screen', 'paper', 'read_out', 'message'));
ALTER TABLE consents ADD COLUMN read_out text NOT NULL DEFAULT '' CHECK (length(read_out) <= 200000);
ALTER TABLE consents ADD COLUMN read_out_sha256 text NOT NULL DEFAULT '' CHECK (length(read_out_sha256) <= 2000);
ALTER TABLE consents ADD COLUMN said_back text NOT NULL DEFAULT '' CHECK (length(said_back) <= 10000);
ALTER TABLE consents ADD COLUMN ready_on text NOT NULL DEFAULT '' CHECK (ready_on = '' OR length(ready_on) = 10);
ALTER TABLE consents ADD COLUMN day_stands boolean NOT NULL DEFAULT false;
ALTER TABLE consents ADD COLUMN electronic_agreed boolean NOT NULL DEFAULT false;
ALTER TABLE consents ADD COLUMN staff_name text NOT NULL DEFAULT '' CHECK (length(staff_name) <= 2000);
ALTER TABLE consents ADD COLUMN act text NOT NULL DEFAULT '' CHECK (length(act) <= 2000);
ALTER TABLE consents ADD COLUMN meaning text NOT NULL DEFAULT '' CHECK (length(meaning) <= 2000);
ALTER TABLE consents ADD COLUMN journal_sequence bigint NOT NULL DEFAULT 0 CHECK (journal_sequence >= 0);
CREATE TABLE consent_endings (
    shop_id uuid NOT NULL,
    id uuid NOT NULL,
    version bigint NOT NULL CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    updated_at timestamptz NOT NULL,
    work_order_id uuid NOT NULL,
    job_id uuid NOT NULL,
    consent_id uuid NOT NULL,
    kind text NOT NULL CHECK (kind IN ('revoked', 'corrected')),
    replaced_by uuid,
    method text NOT NULL CHECK (method IN ('link', 'spoken', 'in_person', 'message')),
    typed_name text NOT NULL CHECK (length(typed_name) <= 2000),
    relation text NOT NULL CHECK (length(relation) <= 2000),
    identified_how text NOT NULL CHECK (length(identified_how) <= 2000),
    contact_used text NOT NULL CHECK (length(contact_used) <= 2000),
    said_at timestamptz NOT NULL,
    said_back text NOT NULL CHECK (length(said_back) <= 10000),
    reason text NOT NULL CHECK (length(reason) <= 2000),
    wording text NOT NULL CHECK (length(wording) <= 10000),
    done_lines jsonb NOT NULL,
    left_lines jsonb NOT NULL,
    taken_by uuid NOT NULL,
    staff_name text NOT NULL CHECK (length(staff_name) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, consent_id) REFERENCES consents (shop_id, id),
    FOREIGN KEY (shop_id, replaced_by) REFERENCES consents (shop_id, id),
    FOREIGN KEY (shop_id, taken_by) REFERENCES staff (shop_id, id)
);
CREATE INDEX consent_endings_by_job ON consent_endings (shop_id, job_id, id);
CREATE TABLE customer_questions (
    shop_id uuid NOT NULL,
    id uuid NOT NULL,
    version bigint NOT NULL CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    updated_at timestamptz NOT NULL,
    work_order_id uuid NOT NULL,
    job_id uuid NOT NULL,
    offer_id uuid NOT NULL,
    link_id uuid NOT NULL,
    kind text NOT NULL CHECK (kind IN ('question', 'call_me')),
    words text NOT NULL CHECK (length(words) <= 2000),
    call_when text NOT NULL CHECK (length(call_when) <= 2000),
    asked_at timestamptz NOT NULL,
    ip text NOT NULL CHECK (length(ip) <= 2000),
    answered_by uuid,
    answered_at timestamptz,
    answer text NOT NULL CHECK (length(answer) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, job_id) REFERENCES jobs (shop_id, id),
    FOREIGN KEY (shop_id, offer_id) REFERENCES offers (shop_id, id),
    FOREIGN KEY (shop_id, link_id) REFERENCES offer_links (shop_id, id),
    FOREIGN KEY (shop_id, answered_by) REFERENCES staff (shop_id, id)
);
CREATE INDEX customer_questions_by_job ON customer_questions (shop_id, job_id, id);
CREATE TABLE legal_holds (
    shop_id uuid NOT NULL,
    id uuid NOT NULL,
    version bigint NOT NULL CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    updated_at timestamptz NOT NULL,
    work_order_id uuid NOT NULL,
    reason text NOT NULL CHECK (length(reason) <= 2000),
    held_by uuid NOT NULL,
    held_at timestamptz NOT NULL,
    lifted_by uuid,
    lifted_at timestamptz,
    lifted_reason text NOT NULL CHECK (length(lifted_reason) <= 2000),
    PRIMARY KEY (shop_id, id),
    FOREIGN KEY (shop_id, work_order_id) REFERENCES work_orders (shop_id, id),
    FOREIGN KEY (shop_id, held_by) REFERENCES staff (shop_id, id),
    FOREIGN KEY (shop_id, lifted_by) REFERENCES staff (shop_id, id)
);
CREATE INDEX legal_holds_by_work_order ON legal_holds (shop_id, work_order_id, id);
