ALTER TABLE placements DROP COLUMN country;
