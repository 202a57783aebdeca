-- Owners are reminded before their kennel ends.
ALTER TABLE kennel_ends ADD COLUMN reminded_at timestamptz;

\ir ../functions/leaving.sql

SELECT finish_walls();
