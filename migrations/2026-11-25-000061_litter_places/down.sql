ALTER TABLE litters ADD COLUMN place text CHECK (length(place) BETWEEN 1 AND 100);
ALTER TABLE litters DISABLE TRIGGER USER;
UPDATE litters l SET place = p.name FROM places p WHERE p.kennel_id = l.kennel_id AND p.id = l.place_id;
ALTER TABLE litters ENABLE TRIGGER USER;
ALTER TABLE litters DROP CONSTRAINT litters_place, DROP COLUMN place_id;
