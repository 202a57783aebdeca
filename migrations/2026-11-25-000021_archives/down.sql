ALTER TABLE dogs ALTER CONSTRAINT dogs_sire NOT DEFERRABLE;
ALTER TABLE dogs ALTER CONSTRAINT dogs_dam NOT DEFERRABLE;
REVOKE SELECT ON __diesel_schema_migrations FROM denwright_service;
DROP FUNCTION lapse_placements(date);
DROP FUNCTION ancestors_of(uuid);
