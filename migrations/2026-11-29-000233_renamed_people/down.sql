DROP TRIGGER person_renamed ON people;
DROP FUNCTION person_renamed();
ALTER TABLE change_heads DROP COLUMN renamings;
