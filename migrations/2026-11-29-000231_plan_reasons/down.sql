ALTER TABLE litter_plans DROP COLUMN reason;
