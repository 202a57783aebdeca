-- The weight at birth stood in births and, by an equal time, in weights; corrected in one place, the two drifted
-- apart. From now on it is a row of weights that says so; a birth shows it.

ALTER TABLE weights ADD COLUMN at_birth boolean NOT NULL DEFAULT false;

-- No version is counted and nothing logged: what is recorded stays as it is.
ALTER TABLE weights DISABLE TRIGGER USER;

-- Where they have drifted apart, the one that was written last holds.
UPDATE weights w
SET at_birth = true,
    weight_g = CASE WHEN b.weight_g IS NOT NULL AND b.updated_at > w.updated_at THEN b.weight_g ELSE w.weight_g END
FROM births b
WHERE b.weight_g IS NOT NULL AND w.kennel_id = b.kennel_id AND w.dog_id = b.dog_id
  AND w.id = (SELECT o.id FROM weights o
              WHERE o.kennel_id = b.kennel_id AND o.dog_id = b.dog_id AND o.measured_at = b.born_at
              ORDER BY o.id LIMIT 1);

-- A birth weight whose row was deleted, or moved in time, gets one again.
INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g, at_birth)
SELECT b.kennel_id, gen_random_uuid(), b.dog_id, b.born_at, b.weight_g, true
FROM births b
WHERE b.weight_g IS NOT NULL
  AND NOT EXISTS (SELECT FROM weights w WHERE w.kennel_id = b.kennel_id AND w.dog_id = b.dog_id AND w.at_birth);

ALTER TABLE weights ENABLE TRIGGER USER;

-- A pup has one; whoever writes a second is told.
CREATE UNIQUE INDEX weights_at_birth ON weights (kennel_id, dog_id) WHERE at_birth;

ALTER TABLE births DROP COLUMN weight_g;
