ALTER TABLE pup_checks DROP COLUMN exam;
