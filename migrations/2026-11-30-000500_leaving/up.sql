-- Leaving for good: a person deletes their login, an owner a kennel.

-- Whoever has left is known by their id alone, for as long as rows of a kennel name them.
ALTER TABLE people
    ALTER COLUMN email DROP NOT NULL,
    ADD COLUMN left_at timestamptz,
    ADD CONSTRAINT people_left CHECK ((left_at IS NULL) = (email IS NOT NULL));
CREATE INDEX invitations_of_address ON invitations (email);

-- Kennels that are set to end. By the database's clock, as sessions: until then an owner may take it back.
CREATE TABLE kennel_ends (
    kennel_id  uuid PRIMARY KEY REFERENCES kennels ON DELETE CASCADE,
    person_id  uuid NOT NULL,
    ends_at    timestamptz NOT NULL,
    created_at timestamptz NOT NULL DEFAULT now()
);
CREATE INDEX kennel_ends_due ON kennel_ends (ends_at);
ALTER TABLE kennel_ends ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON kennel_ends USING (kennel_id = current_kennel());
GRANT SELECT ON kennel_ends TO denwright_service;
-- A kennel goes at its end, and by nothing else.
REVOKE DELETE ON kennels FROM denwright_service;

-- An answer that is kept for repeats goes with the kennel that it tells of; null for what is older, and soon over.
ALTER TABLE idempotency_keys ADD COLUMN of_kennel uuid DEFAULT current_kennel();
CREATE INDEX idempotency_keys_of_kennel ON idempotency_keys (of_kennel);

-- What is of use later as well is tried for days.
ALTER TABLE rings ADD COLUMN patient boolean NOT NULL DEFAULT false;

\ir ../functions/scope.sql
\ir ../functions/log.sql
\ir ../functions/references.sql
\ir ../functions/members.sql
\ir ../functions/logins.sql
\ir ../functions/tables.sql
\ir ../functions/buyers.sql
\ir ../functions/leaving.sql

SELECT finish_walls();
