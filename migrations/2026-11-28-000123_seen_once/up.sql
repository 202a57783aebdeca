-- Answers kept for repeats hold no secret any more; those that were kept with one are forgotten.
DELETE FROM idempotency_keys WHERE body ? 'token';

-- Of two dogs with one chip, or one id of an imported file, only those speak against each other that whoever
-- writes may see: else a co-owner could try numbers and learn which dogs are here. The check runs as the
-- writer, so the walls decide what it sees.
DROP INDEX dogs_chip_taken;
DROP INDEX dogs_imported_id_taken;
CREATE INDEX dogs_of_chip ON dogs (kennel_id, chip_number) WHERE chip_number IS NOT NULL;
CREATE INDEX dogs_of_imported_id ON dogs (kennel_id, imported_id) WHERE imported_id IS NOT NULL;

\ir ../functions/references.sql

-- Before the log is written: a name that comes earlier.
CREATE TRIGGER dog_once_created AFTER INSERT ON dogs REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_second_dog();
CREATE TRIGGER dog_once_changed AFTER UPDATE ON dogs REFERENCING OLD TABLE AS old_rows NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_second_dog();
\ir ../functions/members.sql
