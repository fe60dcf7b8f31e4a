-- +goose Up
-- What the engines need to know of a finding, a debris check, a job and a limit sheet.
ALTER TABLE findings ADD COLUMN debris text;
ALTER TABLE debris_checks ADD COLUMN entries text NOT NULL DEFAULT '[]';
ALTER TABLE debris_checks ADD COLUMN verdict text NOT NULL DEFAULT '' CHECK (verdict IN ('', 'normal_wear', 'watch', 'look_further', 'stop_and_open'));
ALTER TABLE debris_checks ADD COLUMN asks text NOT NULL DEFAULT '[]';
ALTER TABLE jobs ADD COLUMN steps_done text NOT NULL DEFAULT '[]';
ALTER TABLE limit_sheets ADD COLUMN map_code text NOT NULL DEFAULT '' CHECK (length(map_code) <= 2000);
ALTER TABLE measurements ADD COLUMN working text NOT NULL DEFAULT '[]';
ALTER TABLE jobs ADD COLUMN stages text NOT NULL DEFAULT '[]';
ALTER TABLE findings ADD COLUMN name text NOT NULL DEFAULT '' CHECK (length(name) <= 2000);
ALTER TABLE checks ADD COLUMN look text NOT NULL DEFAULT '' CHECK (length(look) <= 64);
