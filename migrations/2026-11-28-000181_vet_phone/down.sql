ALTER TABLE kennels DROP COLUMN vet_phone;
