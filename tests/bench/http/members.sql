-- People who follow kennels: psql -v kennels=N -v members=M. Each of the first N kennels gets M viewers beside its owner.
\set ON_ERROR_STOP on
BEGIN;
SET LOCAL session_replication_role = replica;
INSERT INTO people (id, name, email, password_hash)
SELECT md5('person' || k || '/' || m)::uuid, 'Viewer ' || k || '/' || m, 'viewer' || k || '-' || m || '@example.org', 'none'
FROM generate_series(1, :kennels) k, generate_series(1, :members) m;

INSERT INTO sessions (id, person_id, generation)
SELECT md5('session' || k || '/' || m)::uuid, md5('person' || k || '/' || m)::uuid, 0
FROM generate_series(1, :kennels) k, generate_series(1, :members) m;

INSERT INTO memberships (kennel_id, id, person_id, role)
SELECT md5('kennel' || k)::uuid, md5('member' || k || '/' || m)::uuid, md5('person' || k || '/' || m)::uuid, 'viewer'
FROM generate_series(1, :kennels) k, generate_series(1, :members) m;
COMMIT;
VACUUM ANALYZE;
