-- +goose Up
-- Codes of tags given out ahead, and what a late tag's label says.
ALTER TABLE tags ADD COLUMN label_code text NOT NULL DEFAULT '' CHECK (length(label_code) <= 2000);

CREATE TABLE tag_blocks (
    shop_id uuid NOT NULL,
    id uuid NOT NULL,
    version bigint NOT NULL CHECK (version >= 1),
    created_at timestamptz NOT NULL,
    updated_at timestamptz NOT NULL,
    first_number bigint NOT NULL CHECK (first_number >= 0),
    size bigint NOT NULL CHECK (size >= 0),
    purpose text NOT NULL CHECK (purpose IN ('roll', 'sheet', 'tablet')),
    tablet_id uuid,
    given_by uuid NOT NULL,
    given_at timestamptz NOT NULL,
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, first_number)
);

ALTER TABLE tag_blocks ADD FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id);
ALTER TABLE tag_blocks ADD FOREIGN KEY (shop_id, given_by) REFERENCES staff (shop_id, id);

CREATE INDEX tags_lying ON tags (shop_id, id) WHERE struck_at IS NULL AND outcome IN ('', 'kept', 'off_on_purpose');
CREATE INDEX tags_by_label ON tags (shop_id, label_code) WHERE label_code <> '';
