-- +goose Up
-- What a photo shows, its smaller copies, and what became of its content.
ALTER TABLE photos ADD COLUMN shows text NOT NULL DEFAULT '' CHECK (length(shows) <= 2000);
ALTER TABLE photos ADD COLUMN for_customer boolean NOT NULL DEFAULT false;
ALTER TABLE photos ADD COLUMN original_bytes bigint NOT NULL DEFAULT 0 CHECK (original_bytes >= 0);
ALTER TABLE photos ADD COLUMN large_sha256 text NOT NULL DEFAULT '' CHECK (length(large_sha256) <= 2000);
ALTER TABLE photos ADD COLUMN small_sha256 text NOT NULL DEFAULT '' CHECK (length(small_sha256) <= 2000);
ALTER TABLE photos ADD COLUMN damaged_at timestamptz;
ALTER TABLE photos ADD COLUMN erased_at timestamptz;
CREATE INDEX photos_by_size ON photos (shop_id, recorded_by, stored_at, erased_at, size_bytes);
ALTER TABLE photos ALTER COLUMN marks TYPE jsonb USING convert_from(marks, 'UTF8')::jsonb;
