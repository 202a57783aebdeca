-- Without statistics Postgres takes the smallest index that begins with the kennel to look for a parent,
-- and reads all dogs of the kennel for each row of an import. A partial index cannot be taken for that.
ALTER TABLE dogs DROP CONSTRAINT dogs_chip_taken;
ALTER TABLE dogs DROP CONSTRAINT dogs_imported_id_taken;
CREATE UNIQUE INDEX dogs_chip_taken ON dogs (kennel_id, chip_number) WHERE chip_number IS NOT NULL;
CREATE UNIQUE INDEX dogs_imported_id_taken ON dogs (kennel_id, imported_id) WHERE imported_id IS NOT NULL;
