-- The second wall: what the service's role can reach in the database, whatever it asks for.
--
-- A transaction may see a kennel when it has shown by whom it is asked: by a session, a token or a link. What
-- it may see then stands in a setting that is signed, since anybody may set a setting. Secrets are reached
-- through functions alone, each asking for no more than one needs.

-- The role that looks past the walls of rows: the owner of the tables is its member. So row-level security
-- can hold for the owner as well, and functions of the owner's, migrations and backups still see all.
DO $$
BEGIN
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'denwright_upkeep') THEN
        CREATE ROLE denwright_upkeep NOLOGIN;
    END IF;
EXCEPTION
    -- Another database of the same cluster is migrating at the same moment.
    WHEN duplicate_object OR unique_violation THEN NULL;
END $$;
DO $$
BEGIN
    IF NOT pg_has_role(current_user, 'denwright_upkeep', 'USAGE') THEN
        EXECUTE format('GRANT denwright_upkeep TO %I', current_user);
    END IF;
EXCEPTION
    WHEN internal_error THEN
        IF NOT pg_has_role(current_user, 'denwright_upkeep', 'USAGE') THEN RAISE; END IF;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- The signed setting.

-- Signs what a transaction may see; made once for this database.
CREATE TABLE wall_key (
    only_one boolean PRIMARY KEY DEFAULT true CHECK (only_one),
    key      bytea NOT NULL
);
INSERT INTO wall_key (key) SELECT sha256(convert_to(string_agg(gen_random_uuid()::text, ''), 'UTF8')) FROM generate_series(1, 4);

-- What an older edition had in another shape.
DROP FUNCTION IF EXISTS access_token_by_hash(bytea), calendar_link_by_hash(bytea), membership_of(uuid, uuid),
    kennels_of(uuid), enter_kennel(uuid, uuid, text, text, date);
\ir ../functions/scope.sql

-- What was signed: one row or none. A view and no function, since policies ask it at every statement: so it
-- is planned with them. It reads the key as its owner, and shows nothing of it.
CREATE VIEW proven_scope AS
    SELECT substr(told, 1, 36)::uuid AS kennel,
           nullif(substr(told, 37, 36), '00000000-0000-0000-0000-000000000000')::uuid AS person,
           nullif(substr(told, 73, 36), '00000000-0000-0000-0000-000000000000')::uuid AS membership,
           substr(told, 109) AS rights,
           strpos(substr(told, 109), 'A') > 0 AS all_dogs,
           strpos(substr(told, 109), 'o') > 0 AS may_observations,
           strpos(substr(told, 109), 'b') > 0 AS may_breeding,
           strpos(substr(told, 109), 'p') > 0 AS may_placing,
           strpos(substr(told, 109), 'm') > 0 AS may_money,
           strpos(substr(told, 109), 'g') > 0 AS may_managing,
           strpos(substr(told, 109), 'p') > 0 OR strpos(substr(told, 109), 'm') > 0 AS prices
    FROM wall_key k, (SELECT current_setting('denwright.scope', true) AS told) AS s
    WHERE current_setting('denwright.proof', true) = scope_signature(told, k.key);
GRANT SELECT ON proven_scope TO denwright_service;

ALTER TABLE access_tokens ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE calendar_links ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE booklet_links ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE webhooks ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE invitations ALTER COLUMN membership_id SET DEFAULT current_membership();
-- The service gives a secret that is sealed; see DENWRIGHT_SECRET_FILE.
ALTER TABLE webhooks ALTER COLUMN secret DROP DEFAULT;

-- What functions ask of the transaction they ask once, since each answer verifies a signature.
\ir ../functions/pedigree.sql
