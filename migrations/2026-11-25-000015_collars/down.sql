ALTER TABLE kennels DROP COLUMN collars;
