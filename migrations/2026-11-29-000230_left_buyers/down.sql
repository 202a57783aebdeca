ALTER TABLE buyers DROP COLUMN left_on;
