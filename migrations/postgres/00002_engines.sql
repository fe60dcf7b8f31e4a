-- +goose Up
-- What the engines need to know of a finding, a debris check, a job and a limit sheet.
ALTER TABLE findings ADD COLUMN debris jsonb;
ALTER TABLE debris_checks ADD COLUMN entries jsonb NOT NULL DEFAULT '[]';
ALTER TABLE debris_checks ADD COLUMN verdict text NOT NULL DEFAULT '' CHECK (verdict IN ('', 'normal_wear', 'watch', 'look_further', 'stop_and_open'));
ALTER TABLE debris_checks ADD COLUMN asks jsonb NOT NULL DEFAULT '[]';
ALTER TABLE jobs ADD COLUMN steps_done jsonb NOT NULL DEFAULT '[]';
ALTER TABLE limit_sheets ADD COLUMN map_code text NOT NULL DEFAULT '' CHECK (length(map_code) <= 2000);
ALTER TABLE measurements ADD COLUMN working jsonb NOT NULL DEFAULT '[]';
ALTER TABLE measurements ALTER COLUMN readings TYPE jsonb USING convert_from(readings, 'UTF8')::jsonb;
ALTER TABLE jobs ADD COLUMN stages jsonb NOT NULL DEFAULT '[]';
ALTER TABLE findings ADD COLUMN name text NOT NULL DEFAULT '' CHECK (length(name) <= 2000);
ALTER TABLE checks ADD COLUMN look text NOT NULL DEFAULT '' CHECK (length(look) <= 64);
