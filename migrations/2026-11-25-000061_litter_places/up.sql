-- A litter lies in one of the kennel's places: the one list that the planner counts with.
ALTER TABLE litters ADD COLUMN place_id uuid;

-- What was written as text becomes a place of the list; no client changed anything.
ALTER TABLE litters DISABLE TRIGGER USER;
ALTER TABLE places DISABLE TRIGGER USER;
INSERT INTO places (kennel_id, id, name, kind, capacity)
    SELECT DISTINCT kennel_id, gen_random_uuid(), place, 'other', 1 FROM litters WHERE place IS NOT NULL
    ON CONFLICT (kennel_id, name) DO NOTHING;
UPDATE litters l SET place_id = p.id FROM places p WHERE p.kennel_id = l.kennel_id AND p.name = l.place;
ALTER TABLE places ENABLE TRIGGER USER;
ALTER TABLE litters ENABLE TRIGGER USER;

ALTER TABLE litters
    DROP COLUMN place,
    ADD CONSTRAINT litters_place FOREIGN KEY (kennel_id, place_id) REFERENCES places;
CREATE INDEX litters_of_place ON litters (kennel_id, place_id) WHERE place_id IS NOT NULL;
