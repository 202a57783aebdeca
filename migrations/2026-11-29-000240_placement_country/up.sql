-- Where a pup will live, when that is abroad: borders have rules of their own.
ALTER TABLE placements ADD COLUMN country text CHECK (country ~ '^[A-Z]{2}$');
