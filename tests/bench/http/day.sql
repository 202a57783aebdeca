-- Litters and listeners for a morning: psql -v kennels=N -v litters=W. Each of the W kennels after the busy one has a litter of
-- six, one to seven weeks old, weighed every morning until yesterday; each owner is rung by mail.
\set ON_ERROR_STOP on
SET timezone = 'UTC';
BEGIN;
SET LOCAL session_replication_role = replica;

INSERT INTO litters (kennel_id, id, dam_id, sire_id, name, whelped_on)
SELECT md5('kennel' || k)::uuid, md5('litter' || k || '/1')::uuid, md5('dog' || k || '/1')::uuid, md5('dog' || k || '/2')::uuid,
       'Litter', current_date - 7 - k % 42
FROM generate_series(2, :litters + 1) k;

INSERT INTO dogs (kennel_id, id, call_name, sex, breed, born_on, residence, sire_id, dam_id)
SELECT md5('kennel' || k)::uuid, md5('pup' || k || '/1/' || p)::uuid, 'Pup ' || p,
       CASE p % 2 WHEN 0 THEN 'male' ELSE 'female' END, 'Invented Hound', (current_date - 7 - k % 42)::text, 'here',
       md5('dog' || k || '/2')::uuid, md5('dog' || k || '/1')::uuid
FROM generate_series(2, :litters + 1) k, generate_series(1, 6) p;

INSERT INTO births (kennel_id, id, litter_id, dog_id, ordinal, born_at, presentation, outcome, placenta)
SELECT md5('kennel' || k)::uuid, md5('birth' || k || '/1/' || p)::uuid, md5('litter' || k || '/1')::uuid,
       md5('pup' || k || '/1/' || p)::uuid, p, current_date - 7 - k % 42 + p * interval '30 minutes', 'head_first', 'alive', 'passed'
FROM generate_series(2, :litters + 1) k, generate_series(1, 6) p;

INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g, at_birth)
SELECT md5('kennel' || k)::uuid, md5('birth weight' || k || '/1/' || p)::uuid, md5('pup' || k || '/1/' || p)::uuid,
       current_date - 7 - k % 42 + p * interval '30 minutes', 380 + 10 * p, true
FROM generate_series(2, :litters + 1) k, generate_series(1, 6) p;

INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g)
SELECT md5('kennel' || k)::uuid, md5('pup weight' || k || '/1/' || p || '/' || day)::uuid, md5('pup' || k || '/1/' || p)::uuid,
       current_date - 7 - k % 42 + day + interval '7 hours', (380 + 10 * p) * (1 + day / 8.0)
FROM generate_series(2, :litters + 1) k, generate_series(1, 6) p, generate_series(1, 60) day
WHERE day < 7 + k % 42;

INSERT INTO ring_choices (kennel_id, id, person_id, membership_id, choices)
SELECT md5('kennel' || k)::uuid, md5('choice' || k)::uuid, md5('person' || k)::uuid, md5('member' || k)::uuid,
       '{"ways": ["mail"], "level": "act", "kinds": [], "litter_ids": [], "unseen_minutes": 15, "language": "en"}'
FROM generate_series(2, :kennels) k;

-- As they stand an hour after a start: each in its turn within a quarter of an hour.
INSERT INTO ring_watches (kennel_id, next_at, looked_sequence, audiences, routine)
SELECT md5('kennel' || k)::uuid, now() + random() * interval '15 minutes', 0, '{all}', true
FROM generate_series(2, :kennels) k;
COMMIT;
VACUUM ANALYZE;
