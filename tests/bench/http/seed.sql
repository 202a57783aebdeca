-- Invented kennels for measuring: psql -v kennels=N. Ids are computed, so that nothing need be kept.
--
-- Each has one owner, ten dogs and ten weights a dog. The first one, besides, is a busy kennel: twenty
-- litters of eight pups, three days apart, weighed every morning and wormed every fortnight. Only that one is written through the
-- triggers that log; for thousands of kennels they would take longer than the measuring.
\set ON_ERROR_STOP on
SET timezone = 'UTC';
BEGIN;
SET LOCAL session_replication_role = replica;

INSERT INTO people (id, name, email, password_hash)
SELECT md5('person' || k)::uuid, 'Owner ' || k, 'owner' || k || '@example.org', 'none'
FROM generate_series(1, :kennels) k;

INSERT INTO sessions (id, person_id, generation)
SELECT md5('session' || k)::uuid, md5('person' || k)::uuid, 0 FROM generate_series(1, :kennels) k;

INSERT INTO kennels (id, name, time_zone)
SELECT md5('kennel' || k)::uuid, 'Kennel ' || k, 'UTC' FROM generate_series(1, :kennels) k;

INSERT INTO change_heads (kennel_id) SELECT id FROM kennels;

INSERT INTO memberships (kennel_id, id, person_id, role)
SELECT md5('kennel' || k)::uuid, md5('member' || k)::uuid, md5('person' || k)::uuid, 'owner'
FROM generate_series(1, :kennels) k;

INSERT INTO dogs (kennel_id, id, name, sex, breed, born_on, residence, for_breeding, adult_weight_g)
SELECT md5('kennel' || k)::uuid, md5('dog' || k || '/' || d)::uuid, 'Dog ' || d,
       CASE d % 2 WHEN 0 THEN 'male' ELSE 'female' END, 'Invented Hound', '2022-03-14', 'here', true, 25000
FROM generate_series(1, :kennels) k, generate_series(1, 10) d;

INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g)
SELECT md5('kennel' || k)::uuid, md5('weight' || k || '/' || d || '/' || w)::uuid, md5('dog' || k || '/' || d)::uuid,
       date_trunc('day', now()) - w * interval '30 days', 25000 - 100 * w
FROM generate_series(1, :kennels) k, generate_series(1, 10) d, generate_series(1, 10) w;
COMMIT;

BEGIN;
SELECT md5('kennel1')::uuid AS busy \gset
INSERT INTO dogs (kennel_id, id, name, sex, breed, born_on, residence, for_breeding, adult_weight_g)
SELECT :'busy', md5('dam' || l)::uuid, 'Dam ' || l, 'female', 'Invented Hound', '2021-05-01', 'here', true, 24000
FROM generate_series(1, 20) l;

INSERT INTO heats (kennel_id, id, dog_id, began_on)
SELECT :'busy', md5('heat' || l)::uuid, md5('dam' || l)::uuid, current_date - 3 * l - 73
FROM generate_series(1, 20) l;

INSERT INTO matings (kennel_id, id, dam_id, sire_id, heat_id, status, method, ties)
SELECT :'busy', md5('mating' || l)::uuid, md5('dam' || l)::uuid, md5('dog1/2')::uuid, md5('heat' || l)::uuid, 'done', 'natural',
       jsonb_build_array(jsonb_build_object('at', to_char(current_date - 3 * l - 61, 'YYYY-MM-DD"T"10:00:00"Z"')))
FROM generate_series(1, 20) l;

INSERT INTO litters (kennel_id, id, dam_id, sire_id, mating_id, name, whelped_on)
SELECT :'busy', md5('litter' || l)::uuid, md5('dam' || l)::uuid, md5('dog1/2')::uuid, md5('mating' || l)::uuid, 'Litter ' || l,
       current_date - 3 * l
FROM generate_series(1, 20) l;

INSERT INTO dogs (kennel_id, id, call_name, sex, breed, born_on, residence, sire_id, dam_id)
SELECT :'busy', md5('pup' || l || '/' || p)::uuid, 'Pup ' || l || '/' || p,
       CASE p % 2 WHEN 0 THEN 'male' ELSE 'female' END, 'Invented Hound', (current_date - 3 * l)::text, 'here',
       md5('dog1/2')::uuid, md5('dam' || l)::uuid
FROM generate_series(1, 20) l, generate_series(1, 8) p;

INSERT INTO births (kennel_id, id, litter_id, dog_id, ordinal, born_at, presentation, outcome, placenta)
SELECT :'busy', md5('birth' || l || '/' || p)::uuid, md5('litter' || l)::uuid, md5('pup' || l || '/' || p)::uuid, p,
       current_date - 3 * l + p * interval '30 minutes', 'head_first', 'alive', 'passed'
FROM generate_series(1, 20) l, generate_series(1, 8) p;

INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g, at_birth)
SELECT :'busy', md5('birth weight' || l || '/' || p)::uuid, md5('pup' || l || '/' || p)::uuid,
       current_date - 3 * l + p * interval '30 minutes', 380 + 10 * p, true
FROM generate_series(1, 20) l, generate_series(1, 8) p;

INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g)
SELECT :'busy', md5('pup weight' || l || '/' || p || '/' || day)::uuid, md5('pup' || l || '/' || p)::uuid,
       current_date - 3 * l + day + interval '7 hours', (380 + 10 * p) * (1 + day / 8.0)
FROM generate_series(1, 20) l, generate_series(1, 8) p, generate_series(1, 60) day
WHERE day <= 3 * l AND current_date - 3 * l + day + interval '7 hours' <= now();

INSERT INTO health_events (kennel_id, id, dog_id, kind, series, given_at)
SELECT :'busy', md5('worming' || l || '/' || p || '/' || day)::uuid, md5('pup' || l || '/' || p)::uuid, 'worming', 'roundworm',
       current_date - 3 * l + day + interval '8 hours'
FROM generate_series(1, 20) l, generate_series(1, 8) p, generate_series(14, 56, 14) day
WHERE day < 3 * l;
COMMIT;
VACUUM ANALYZE;
