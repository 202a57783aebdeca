DROP INDEX dogs_chip_taken;
DROP INDEX dogs_imported_id_taken;
ALTER TABLE dogs ADD CONSTRAINT dogs_chip_taken UNIQUE (kennel_id, chip_number);
ALTER TABLE dogs ADD CONSTRAINT dogs_imported_id_taken UNIQUE (kennel_id, imported_id);
