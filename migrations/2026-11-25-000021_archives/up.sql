-- An archive is taken in row by row, in the order of its file: a pup may stand before its parents.
-- Everything else is checked at once, as before.
ALTER TABLE dogs ALTER CONSTRAINT dogs_sire DEFERRABLE INITIALLY IMMEDIATE;
ALTER TABLE dogs ALTER CONSTRAINT dogs_dam DEFERRABLE INITIALLY IMMEDIATE;

-- An archive says from which schema it was written.
GRANT SELECT ON __diesel_schema_migrations TO denwright_service;

\ir ../functions/pedigree.sql
