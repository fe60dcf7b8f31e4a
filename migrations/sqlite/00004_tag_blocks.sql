-- +goose Up
-- Codes of tags given out ahead, and what a late tag's label says.
ALTER TABLE tags ADD COLUMN label_code text NOT NULL DEFAULT '' CHECK (length(label_code) <= 2000);

CREATE TABLE tag_blocks (
    shop_id text NOT NULL CHECK (length(shop_id) = 36),
    id text NOT NULL CHECK (length(id) = 36),
    version integer NOT NULL CHECK (version >= 1),
    created_at datetime NOT NULL,
    updated_at datetime NOT NULL,
    first_number integer NOT NULL CHECK (first_number >= 0),
    size integer NOT NULL CHECK (size >= 0),
    purpose text NOT NULL CHECK (purpose IN ('roll', 'sheet', 'tablet')),
    tablet_id text CHECK (length(tablet_id) = 36),
    given_by text NOT NULL CHECK (length(given_by) = 36),
    given_at datetime NOT NULL,
    PRIMARY KEY (shop_id, id),
    UNIQUE (shop_id, first_number),
    FOREIGN KEY (shop_id, tablet_id) REFERENCES tablets (shop_id, id),
    FOREIGN KEY (shop_id, given_by) REFERENCES staff (shop_id, id)
);

CREATE INDEX tags_lying ON tags (shop_id, id) WHERE struck_at IS NULL AND outcome IN ('', 'kept', 'off_on_purpose');
CREATE INDEX tags_by_label ON tags (shop_id, label_code) WHERE label_code <> '';
