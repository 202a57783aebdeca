DROP FUNCTION keeps_its_id(uuid, uuid);
DROP TRIGGER dog_once_created ON dogs;
DROP TRIGGER dog_once_changed ON dogs;
DROP FUNCTION refuse_second_dog();
DROP INDEX dogs_of_chip;
DROP INDEX dogs_of_imported_id;
CREATE UNIQUE INDEX dogs_chip_taken ON dogs (kennel_id, chip_number) WHERE chip_number IS NOT NULL;
CREATE UNIQUE INDEX dogs_imported_id_taken ON dogs (kennel_id, imported_id) WHERE imported_id IS NOT NULL;
