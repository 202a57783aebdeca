-- Secrets behind functions: what a login rests on, sessions, keys and tries are no longer read or written by
-- the service's role itself. Each function locks the person first, so that what ends sessions and what goes
-- on with one wait for each other.

\ir ../functions/logins.sql
\ir ../functions/secrets.sql
\ir ../functions/members.sql

DROP FUNCTION IF EXISTS invitation_by_hash(bytea);

-- ---------------------------------------------------------------------------------------------------------
-- What is left to the service's role of tables that belong to no kennel.

REVOKE ALL ON people, sessions, refresh_tokens, recovery_codes, password_resets, attempts, signing_keys, wall_key
    FROM denwright_service;
-- Names and addresses of oneself and of those who belong to the kennel.
GRANT SELECT (id, name, email, created_at) ON people TO denwright_service;
ALTER TABLE people ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON people USING (
    id = (SELECT person FROM proven_scope)
    OR id IN (SELECT m.person_id FROM memberships m WHERE m.kennel_id = (SELECT kennel FROM proven_scope)));
ALTER TABLE idempotency_keys ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_person ON idempotency_keys USING (person_id = (SELECT person FROM proven_scope));
