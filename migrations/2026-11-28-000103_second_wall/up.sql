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

-- For this transaction alone. In the language sql what others call here becomes a part of their statements,
-- which plpgsql keeps the plans of: these run at every request.
CREATE FUNCTION scope_signature(payload text, key bytea) RETURNS text LANGUAGE sql STABLE AS $$
    SELECT encode(sha256(key || textsend(payload) || timestamptz_send(now())), 'hex')
$$;

-- What a role may see and do, by letters: A sees all dogs and not only the shared; o records observations,
-- b changes breeding, p places pups, m sees money, g manages. A token opens some areas, null all.
CREATE FUNCTION rights_of(role text, areas text[]) RETURNS text LANGUAGE sql IMMUTABLE AS $$
    SELECT CASE WHEN role <> 'co_owner' THEN 'A' ELSE '' END
        || CASE WHEN role <> 'viewer' AND (areas IS NULL OR 'observations' = ANY (areas)) THEN 'o' ELSE '' END
        || CASE WHEN role IN ('owner', 'co_owner') AND (areas IS NULL OR 'breeding' = ANY (areas)) THEN 'b' ELSE '' END
        || CASE WHEN role IN ('owner', 'co_owner') AND (areas IS NULL OR 'placing' = ANY (areas)) THEN 'p' ELSE '' END
        || CASE WHEN role IN ('owner', 'co_owner') AND (areas IS NULL OR 'money' = ANY (areas)) THEN 'm' ELSE '' END
        || CASE WHEN role = 'owner' AND (areas IS NULL OR 'managing' = ANY (areas)) THEN 'g' ELSE '' END
$$;

-- Kennel, person and membership, each of 36 letters, and then the letters of the rights.
CREATE FUNCTION scope_payload(kennel uuid, person uuid, membership uuid, rights text) RETURNS text LANGUAGE sql STABLE AS $$
    SELECT kennel::text || coalesce(person::text, '00000000-0000-0000-0000-000000000000')
        || coalesce(membership::text, '00000000-0000-0000-0000-000000000000') || rights
$$;

CREATE FUNCTION sign_scope(kennel uuid, person uuid, membership uuid, rights text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    PERFORM set_config('denwright.scope', told, true), set_config('denwright.proof', scope_signature(told, k.key), true)
    FROM wall_key k, LATERAL (SELECT scope_payload(kennel, person, membership, rights) AS told OFFSET 0) AS s;
END $$;

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

-- The same for whoever asks once: policies written with these are rewritten to ask the view (asks_once).
CREATE OR REPLACE FUNCTION current_kennel() RETURNS uuid
LANGUAGE plpgsql STABLE PARALLEL RESTRICTED SET search_path = public, pg_temp AS $$
BEGIN
    RETURN (SELECT kennel FROM proven_scope);
END $$;
CREATE OR REPLACE FUNCTION current_person() RETURNS uuid
LANGUAGE plpgsql STABLE PARALLEL RESTRICTED SET search_path = public, pg_temp AS $$
BEGIN
    RETURN (SELECT person FROM proven_scope);
END $$;
-- Who founds a kennel has had none at the beginning.
CREATE FUNCTION current_membership() RETURNS uuid
LANGUAGE plpgsql STABLE PARALLEL RESTRICTED SET search_path = public, pg_temp AS $$
BEGIN
    RETURN (SELECT coalesce(s.membership,
                (SELECT m.id FROM memberships m WHERE m.kennel_id = s.kennel AND m.person_id = s.person))
            FROM proven_scope s);
END $$;
CREATE OR REPLACE FUNCTION sees_all() RETURNS boolean
LANGUAGE plpgsql STABLE PARALLEL RESTRICTED SET search_path = public, pg_temp AS $$
BEGIN
    RETURN coalesce((SELECT all_dogs FROM proven_scope), false);
END $$;
CREATE OR REPLACE FUNCTION sees_money() RETURNS boolean
LANGUAGE plpgsql STABLE PARALLEL RESTRICTED SET search_path = public, pg_temp AS $$
BEGIN
    RETURN coalesce((SELECT prices FROM proven_scope), false);
END $$;
-- Whether the transaction has a right: observations, breeding, placing, money, managing.
CREATE FUNCTION has_right(name text) RETURNS boolean
LANGUAGE plpgsql STABLE PARALLEL RESTRICTED SET search_path = public, pg_temp AS $$
BEGIN
    RETURN coalesce((SELECT CASE name
            WHEN 'observations' THEN may_observations WHEN 'breeding' THEN may_breeding WHEN 'placing' THEN may_placing
            WHEN 'money' THEN may_money WHEN 'managing' THEN may_managing END FROM proven_scope), false);
END $$;

-- A text of SQL that asks the transaction, so that it does so once a statement, and not once a row.
CREATE FUNCTION asks_once(told text) RETURNS text LANGUAGE sql IMMUTABLE AS $$
    SELECT regexp_replace(regexp_replace(regexp_replace(regexp_replace(regexp_replace(
        regexp_replace(told, '\( *SELECT (current_kennel|current_person|sees_all|sees_money|has_right)(\(\)|\(''\w+''(::text)?\))( AS \w+)?\)', '\1\2', 'g'),
        '\mcurrent_kennel\(\)', '(SELECT proven_scope.kennel FROM proven_scope)', 'g'),
        '\mcurrent_person\(\)', '(SELECT proven_scope.person FROM proven_scope)', 'g'),
        '\msees_all\(\)', '(SELECT proven_scope.all_dogs FROM proven_scope)', 'g'),
        '\msees_money\(\)', '(SELECT proven_scope.prices FROM proven_scope)', 'g'),
        '\mhas_right\(''(\w+)''(::text)?\)', '(SELECT proven_scope.may_\1 FROM proven_scope)', 'g')
$$;

-- ---------------------------------------------------------------------------------------------------------
-- Whose a session, a token or a link is: asked before a transaction begins.

CREATE FUNCTION person_of_session(session uuid) RETURNS uuid
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE person uuid;
BEGIN
    SELECT s.person_id INTO person FROM sessions s WHERE s.id = session AND s.ended_at IS NULL;
    RETURN person;
END $$;

-- No row when the session has ended; null particulars when its person is no member.
CREATE FUNCTION session_in_kennel(session uuid, kennel uuid)
RETURNS TABLE (person_id uuid, name text, time_zone text, jurisdiction text, currency text, role text)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT s.person_id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role
    FROM sessions s
    LEFT JOIN memberships m ON m.kennel_id = kennel AND m.person_id = s.person_id
    LEFT JOIN kennels k ON k.id = m.kennel_id
    WHERE s.id = session AND s.ended_at IS NULL;
END $$;

DROP FUNCTION access_token_by_hash(bytea);
CREATE FUNCTION access_token_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, read_only boolean, areas text[],
               name text, time_zone text, jurisdiction text, currency text, role text)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT t.kennel_id, m.person_id, t.read_only, t.areas, k.name, k.time_zone, k.jurisdiction, k.currency, m.role
    FROM access_tokens t JOIN memberships m ON m.kennel_id = t.kennel_id AND m.id = t.membership_id
    JOIN kennels k ON k.id = t.kennel_id
    WHERE t.token_hash = hash AND (t.expires_at IS NULL OR t.expires_at > now());
END $$;

DROP FUNCTION calendar_link_by_hash(bytea);
CREATE FUNCTION calendar_link_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, name text, time_zone text, jurisdiction text, currency text, role text)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT l.kennel_id, m.person_id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role
    FROM calendar_links l JOIN memberships m ON m.kennel_id = l.kennel_id AND m.id = l.membership_id
    JOIN kennels k ON k.id = l.kennel_id
    WHERE l.token_hash = hash;
END $$;

CREATE OR REPLACE FUNCTION booklet_link_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, dog_id uuid, name text, time_zone text, jurisdiction text, currency text)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT l.kennel_id, l.dog_id, k.name, k.time_zone, k.jurisdiction, k.currency
    FROM booklet_links l JOIN memberships m ON m.kennel_id = l.kennel_id AND m.id = l.membership_id
    JOIN kennels k ON k.id = l.kennel_id
    WHERE l.token_hash = hash AND (l.expires_at IS NULL OR l.expires_at > now()) AND m.role IN ('owner', 'co_owner');
END $$;

DROP FUNCTION membership_of(uuid, uuid);
DROP FUNCTION kennels_of(uuid);
CREATE FUNCTION kennels_of_session(session uuid)
RETURNS TABLE (id uuid, name text, time_zone text, jurisdiction text, currency text, role text)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT k.id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role
    FROM memberships m JOIN kennels k ON k.id = m.kennel_id
    WHERE m.person_id = person_of_session(session) ORDER BY k.id;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- What a transaction begins with.

-- The log tells it as nobody's doing.
CREATE OR REPLACE FUNCTION lapse_placements(today date) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    over CONSTANT text[] := '{offered,reserved}';
    asked proven_scope;
    lapsed bigint;
BEGIN
    SELECT * INTO asked FROM proven_scope;
    -- Without the lock of writers where nothing is over: a kennel that is only being founded has no row yet.
    IF asked.kennel IS NULL OR current_setting('transaction_read_only') = 'on' OR NOT EXISTS (
        SELECT FROM placements
        WHERE kennel_id = asked.kennel AND stage IN ('offered', 'reserved') AND reserved_until < today
    ) THEN
        RETURN 0;
    END IF;
    -- The lock that every writer takes first.
    PERFORM next_changes(asked.kennel, 0);
    PERFORM sign_scope(asked.kennel, NULL, asked.membership, asked.rights);
    UPDATE placements SET stage = 'lapsed' WHERE kennel_id = asked.kennel AND stage = ANY (over) AND reserved_until < today;
    GET DIAGNOSTICS lapsed = ROW_COUNT;
    PERFORM sign_scope(asked.kennel, asked.person, asked.membership, asked.rights);
    RETURN lapsed;
END $$;

-- Begins what one person does in one kennel, and ends the promises of pups whose last day is over, since
-- nobody reads one that does not hold any more. One statement shows who it is and signs what they may see.
DROP FUNCTION enter_kennel(uuid, uuid, text, text, date);
CREATE FUNCTION enter_kennel(kennel uuid, session uuid, today date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM set_config('denwright.scope', told, true), set_config('denwright.proof', scope_signature(told, w.key), true)
    FROM (
        SELECT scope_payload(m.kennel_id, m.person_id, m.id, rights_of(m.role, NULL)) AS told
        FROM sessions s JOIN memberships m ON m.kennel_id = kennel AND m.person_id = s.person_id
        WHERE s.id = session AND s.ended_at IS NULL OFFSET 0) AS shown, wall_key w;
    IF NOT FOUND THEN
        PERFORM set_config('denwright.proof', '', true);
        IF person_of_session(session) IS NULL THEN
            RAISE invalid_authorization_specification USING MESSAGE = 'this session was ended; log in again';
        END IF;
        RAISE no_data_found USING MESSAGE = 'no kennel that this person belongs to';
    END IF;
    IF EXISTS (SELECT FROM placements
               WHERE kennel_id = kennel AND stage IN ('offered', 'reserved') AND reserved_until < today) THEN
        PERFORM lapse_placements(today);
    END IF;
END $$;

CREATE FUNCTION enter_kennel_by_token(kennel uuid, hash bytea, today date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM set_config('denwright.scope', told, true), set_config('denwright.proof', scope_signature(told, w.key), true)
    FROM (
        SELECT scope_payload(m.kennel_id, m.person_id, m.id, rights_of(m.role, t.areas)) AS told
        FROM access_tokens t JOIN memberships m ON m.kennel_id = t.kennel_id AND m.id = t.membership_id
        WHERE t.token_hash = hash AND t.kennel_id = kennel AND (t.expires_at IS NULL OR t.expires_at > now()) OFFSET 0
    ) AS shown, wall_key w;
    IF NOT FOUND THEN
        PERFORM set_config('denwright.proof', '', true);
        RAISE invalid_authorization_specification USING MESSAGE = 'the access token is unknown, expired or withdrawn';
    END IF;
    IF EXISTS (SELECT FROM placements
               WHERE kennel_id = kennel AND stage IN ('offered', 'reserved') AND reserved_until < today) THEN
        PERFORM lapse_placements(today);
    END IF;
END $$;

CREATE FUNCTION enter_kennel_by_calendar_link(kennel uuid, hash bytea, today date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE who uuid; membership uuid; held text;
BEGIN
    SELECT m.person_id, m.id, m.role INTO who, membership, held
    FROM calendar_links l JOIN memberships m ON m.kennel_id = l.kennel_id AND m.id = l.membership_id
    WHERE l.token_hash = hash AND l.kennel_id = kennel;
    IF who IS NULL THEN
        RAISE no_data_found USING MESSAGE = 'no such link';
    END IF;
    PERFORM sign_scope(kennel, who, membership, rights_of(held, NULL));
    PERFORM lapse_placements(today);
END $$;

-- A booklet is read as nobody: no contact data, no money. Its maker must still have the dog.
CREATE FUNCTION enter_kennel_by_booklet_link(kennel uuid, hash bytea, today date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE who uuid; membership uuid; held text; dog uuid;
BEGIN
    SELECT m.person_id, m.id, m.role, l.dog_id INTO who, membership, held, dog
    FROM booklet_links l JOIN memberships m ON m.kennel_id = l.kennel_id AND m.id = l.membership_id
    WHERE l.token_hash = hash AND l.kennel_id = kennel AND (l.expires_at IS NULL OR l.expires_at > now())
      AND m.role IN ('owner', 'co_owner');
    IF who IS NOT NULL AND held = 'co_owner' THEN
        PERFORM sign_scope(kennel, who, membership, '');
        IF dog NOT IN (SELECT my_dogs()) THEN
            who := NULL;
        END IF;
    END IF;
    IF who IS NULL THEN
        PERFORM set_config('denwright.proof', '', true);
        RAISE no_data_found USING MESSAGE = 'no such link';
    END IF;
    PERFORM sign_scope(kennel, NULL, NULL, rights_of('viewer', '{}'));
    PERFORM lapse_placements(today);
END $$;

-- In which a person founds a kennel that is not there yet. One that is there is entered as its member, so
-- that a repeated request finds its answer, and by nobody else.
CREATE FUNCTION enter_new_kennel(kennel uuid, session uuid, today date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE who CONSTANT uuid := person_of_session(session); membership uuid; held text;
BEGIN
    IF who IS NULL THEN
        RAISE invalid_authorization_specification USING MESSAGE = 'this session was ended; log in again';
    END IF;
    IF EXISTS (SELECT FROM kennels k WHERE k.id = kennel) THEN
        SELECT m.id, m.role INTO membership, held FROM memberships m WHERE m.kennel_id = kennel AND m.person_id = who;
        IF membership IS NULL THEN
            RAISE unique_violation USING MESSAGE = 'the kennel is there already', CONSTRAINT = 'kennels_pkey';
        END IF;
        PERFORM sign_scope(kennel, who, membership, rights_of(held, NULL));
    ELSE
        PERFORM sign_scope(kennel, who, NULL, rights_of('owner', NULL));
    END IF;
END $$;

-- For upkeep by whoever owns the tables: any scope, without a login.
CREATE FUNCTION stand_in(kennel uuid, person uuid, role text, today date) RETURNS void
LANGUAGE plpgsql AS $$
BEGIN
    PERFORM sign_scope(kennel, person, (SELECT m.id FROM memberships m WHERE m.kennel_id = kennel AND m.person_id = person),
        rights_of(role, NULL));
    PERFORM lapse_placements(today);
END $$;

-- Waits until no other transaction writes in the kennel.
CREATE FUNCTION begin_writing() RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel CONSTANT uuid := current_kennel();
BEGIN
    IF kennel IS NOT NULL THEN
        PERFORM next_changes(kennel, 0);
    END IF;
END $$;

ALTER TABLE access_tokens ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE calendar_links ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE booklet_links ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE webhooks ALTER COLUMN membership_id SET DEFAULT current_membership();
ALTER TABLE invitations ALTER COLUMN membership_id SET DEFAULT current_membership();
-- The service gives a secret that is sealed; see DENWRIGHT_SECRET_FILE.
ALTER TABLE webhooks ALTER COLUMN secret DROP DEFAULT;

-- What functions ask of the transaction they ask once, since each answer verifies a signature.
DO $$
DECLARE told record;
BEGIN
    FOR told IN
        SELECT oid, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace
        AND prosrc ~ '\m(current_kennel|current_person|sees_all|sees_money)\(\)'
        AND proname NOT IN ('begin_writing', 'kennel_table', 'asks_once')
    LOOP
        EXECUTE replace(pg_get_functiondef(told.oid), told.prosrc, asks_once(told.prosrc));
    END LOOP;
END $$;
