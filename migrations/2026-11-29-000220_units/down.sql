ALTER TABLE kennels DROP COLUMN weight_unit, DROP COLUMN temperature_unit;
