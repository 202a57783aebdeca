-- Whose rows a transaction may see: who asks, by a session, a token or a link, and with which rights.
--
-- The view proven_scope (in the migration of the second wall) verifies what sign_scope() has written. What others
-- call here is in the language sql, so that it becomes a part of their statements; what runs at every request is in
-- plpgsql, which keeps its plans.

-- ---------------------------------------------------------------------------------------------------------
-- The signed setting.

-- For this transaction alone.
CREATE OR REPLACE FUNCTION scope_signature(payload text, key bytea) RETURNS text LANGUAGE sql STABLE AS $$
    SELECT encode(sha256(key || textsend(payload) || timestamptz_send(now())), 'hex')
$$;

-- What a role may see and do, by letters: A sees all dogs and not only the shared; o records observations,
-- b changes breeding, p places pups, m sees money, g manages. (X is no role's: the kennel is cleared away.) A token opens some areas, null all.
CREATE OR REPLACE FUNCTION rights_of(role text, areas text[]) RETURNS text LANGUAGE sql IMMUTABLE AS $$
    SELECT CASE WHEN role <> 'co_owner' THEN 'A' ELSE '' END
        || CASE WHEN role <> 'viewer' AND (areas IS NULL OR 'observations' = ANY (areas)) THEN 'o' ELSE '' END
        || CASE WHEN role IN ('owner', 'co_owner') AND (areas IS NULL OR 'breeding' = ANY (areas)) THEN 'b' ELSE '' END
        || CASE WHEN role IN ('owner', 'co_owner') AND (areas IS NULL OR 'placing' = ANY (areas)) THEN 'p' ELSE '' END
        || CASE WHEN role IN ('owner', 'co_owner') AND (areas IS NULL OR 'money' = ANY (areas)) THEN 'm' ELSE '' END
        || CASE WHEN role = 'owner' AND (areas IS NULL OR 'managing' = ANY (areas)) THEN 'g' ELSE '' END
$$;

-- Kennel, person and membership, each of 36 letters, and then the letters of the rights.
CREATE OR REPLACE FUNCTION scope_payload(kennel uuid, person uuid, membership uuid, rights text) RETURNS text LANGUAGE sql STABLE AS $$
    SELECT kennel::text || coalesce(person::text, '00000000-0000-0000-0000-000000000000')
        || coalesce(membership::text, '00000000-0000-0000-0000-000000000000') || rights
$$;

CREATE OR REPLACE FUNCTION sign_scope(kennel uuid, person uuid, membership uuid, rights text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    PERFORM set_config('denwright.scope', told, true), set_config('denwright.proof', scope_signature(told, k.key), true)
    FROM wall_key k, LATERAL (SELECT scope_payload(kennel, person, membership, rights) AS told OFFSET 0) AS s;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- What the transaction may.

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
CREATE OR REPLACE FUNCTION current_membership() RETURNS uuid
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
CREATE OR REPLACE FUNCTION has_right(name text) RETURNS boolean
LANGUAGE plpgsql STABLE PARALLEL RESTRICTED SET search_path = public, pg_temp AS $$
BEGIN
    RETURN coalesce((SELECT CASE name
            WHEN 'observations' THEN may_observations WHEN 'breeding' THEN may_breeding WHEN 'placing' THEN may_placing
            WHEN 'money' THEN may_money WHEN 'managing' THEN may_managing END FROM proven_scope), false);
END $$;

-- The dogs of who does not see all: those that they have a share in, and the pups that come from these.
CREATE OR REPLACE FUNCTION my_dogs() RETURNS SETOF uuid
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    WITH shared AS (SELECT dog_id FROM shares WHERE kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND person_id = (SELECT proven_scope.person FROM proven_scope))
    SELECT dog_id FROM shared
    UNION
    SELECT births.dog_id FROM births JOIN litters ON litters.kennel_id = births.kennel_id AND litters.id = births.litter_id
    WHERE births.kennel_id = (SELECT proven_scope.kennel FROM proven_scope)
      AND (litters.dam_id IN (SELECT dog_id FROM shared) OR litters.sire_id IN (SELECT dog_id FROM shared));
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- Whose a session, a token or a link is: asked before a transaction begins.

CREATE OR REPLACE FUNCTION person_of_session(session uuid) RETURNS uuid
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE person uuid;
BEGIN
    SELECT s.person_id INTO person FROM sessions s WHERE s.id = session AND s.ended_at IS NULL;
    RETURN person;
END $$;

CREATE OR REPLACE FUNCTION kennels_of_session(session uuid)
RETURNS TABLE (id uuid, name text, time_zone text, jurisdiction text, currency text, role text)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT k.id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role
    FROM memberships m JOIN kennels k ON k.id = m.kennel_id
    WHERE m.person_id = person_of_session(session) ORDER BY k.id;
END $$;

-- No row when the session has ended; null particulars when its person is no member.
CREATE OR REPLACE FUNCTION session_in_kennel(session uuid, kennel uuid)
RETURNS TABLE (person_id uuid, name text, time_zone text, jurisdiction text, currency text, role text,
               newest_change bigint, renamings bigint)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    -- Into variables: RETURN QUERY would keep the one row in a store of its own.
    SELECT s.person_id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, h.sequence, h.renamings
    INTO person_id, name, time_zone, jurisdiction, currency, role, newest_change, renamings
    FROM sessions s
    LEFT JOIN memberships m ON m.kennel_id = kennel AND m.person_id = s.person_id
    LEFT JOIN kennels k ON k.id = m.kennel_id
    LEFT JOIN change_heads h ON h.kennel_id = m.kennel_id
    WHERE s.id = session AND s.ended_at IS NULL;
    IF FOUND THEN
        RETURN NEXT;
    END IF;
END $$;

-- Secrets are looked up by their hash before the kennel is known: narrow functions instead of a hole in the wall.
CREATE OR REPLACE FUNCTION access_token_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, read_only boolean, areas text[],
               name text, time_zone text, jurisdiction text, currency text, role text,
               newest_change bigint, renamings bigint)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT t.kennel_id, m.person_id, t.read_only, t.areas, k.name, k.time_zone, k.jurisdiction, k.currency, m.role,
           h.sequence, h.renamings
    FROM access_tokens t JOIN memberships m ON m.kennel_id = t.kennel_id AND m.id = t.membership_id
    JOIN kennels k ON k.id = t.kennel_id LEFT JOIN change_heads h ON h.kennel_id = t.kennel_id
    WHERE t.token_hash = hash AND (t.expires_at IS NULL OR t.expires_at > now());
END $$;

CREATE OR REPLACE FUNCTION calendar_link_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, name text, time_zone text, jurisdiction text, currency text, role text,
               kinds text[], alarms boolean)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT l.kennel_id, m.person_id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, l.kinds, l.alarms
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

-- ---------------------------------------------------------------------------------------------------------
-- What a transaction begins with.

-- Ends the offers and reservations whose last day is over. Every transaction begins with it, so that no one ever
-- reads a promise that does not hold any more; the log tells it as nobody's doing.
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

-- Begins what one person does in one kennel: whose rows the transaction may see.
CREATE OR REPLACE FUNCTION enter_kennel(kennel uuid, session uuid, today date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE who uuid; membership uuid; held text; key bytea; told text; is_over boolean;
BEGIN
    SELECT m.person_id, m.id, m.role, w.key, EXISTS (
        SELECT FROM placements p
        WHERE p.kennel_id = kennel AND p.stage IN ('offered', 'reserved') AND p.reserved_until < today)
    INTO who, membership, held, key, is_over
    FROM sessions s JOIN memberships m ON m.kennel_id = kennel AND m.person_id = s.person_id CROSS JOIN wall_key w
    WHERE s.id = session AND s.ended_at IS NULL;
    IF NOT FOUND THEN
        PERFORM set_config('denwright.proof', '', true);
        IF person_of_session(session) IS NULL THEN
            RAISE invalid_authorization_specification USING MESSAGE = 'this session was ended; log in again';
        END IF;
        RAISE no_data_found USING MESSAGE = 'no kennel that this person belongs to';
    END IF;
    -- Assigned, and not performed: so each is an expression and no statement.
    told := set_config('denwright.scope', scope_payload(kennel, who, membership, rights_of(held, NULL)), true);
    told := set_config('denwright.proof', scope_signature(told, key), true);
    IF is_over THEN
        PERFORM lapse_placements(today);
    END IF;
END $$;

CREATE OR REPLACE FUNCTION enter_kennel_by_token(kennel uuid, hash bytea, today date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE who uuid; membership uuid; held text; opened text[]; key bytea; told text; is_over boolean;
BEGIN
    SELECT m.person_id, m.id, m.role, t.areas, w.key, EXISTS (
        SELECT FROM placements p
        WHERE p.kennel_id = kennel AND p.stage IN ('offered', 'reserved') AND p.reserved_until < today)
    INTO who, membership, held, opened, key, is_over
    FROM access_tokens t JOIN memberships m ON m.kennel_id = t.kennel_id AND m.id = t.membership_id CROSS JOIN wall_key w
    WHERE t.token_hash = hash AND t.kennel_id = kennel AND (t.expires_at IS NULL OR t.expires_at > now());
    IF NOT FOUND THEN
        PERFORM set_config('denwright.proof', '', true);
        RAISE invalid_authorization_specification USING MESSAGE = 'the access token is unknown, expired or withdrawn';
    END IF;
    told := set_config('denwright.scope', scope_payload(kennel, who, membership, rights_of(held, opened)), true);
    told := set_config('denwright.proof', scope_signature(told, key), true);
    IF is_over THEN
        PERFORM lapse_placements(today);
    END IF;
END $$;

-- The same for a question of one statement, which stands behind it in that very statement: who asks, as
-- session_in_kennel() and access_token_by_hash() tell it. Whoever is not let in has no person here, or no role,
-- and what stands behind sees no row. Writes nothing, so what a promise that is over would change is asked in a
-- transaction. It reads as few tables as it can: each costs more than the row that is asked for.
CREATE OR REPLACE FUNCTION enter_by_session(kennel uuid, session uuid,
    OUT person_id uuid, OUT read_only boolean, OUT areas text[],
    OUT name text, OUT time_zone text, OUT jurisdiction text, OUT currency text, OUT role text)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE membership uuid; key bytea; told text := '';
BEGIN
    SELECT s.person_id, false, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, m.id, w.key
    INTO person_id, read_only, name, time_zone, jurisdiction, currency, role, membership, key
    FROM sessions s JOIN memberships m ON m.kennel_id = kennel AND m.person_id = s.person_id
    JOIN kennels k ON k.id = kennel CROSS JOIN wall_key w
    WHERE s.id = session AND s.ended_at IS NULL;
    IF FOUND THEN
        told := scope_payload(kennel, person_id, membership, rights_of(role, NULL));
    ELSE
        person_id := person_of_session(session);
    END IF;
    -- Assigned, and not performed: so each is an expression and no statement.
    told := set_config('denwright.scope', told, true);
    told := set_config('denwright.proof', coalesce(scope_signature(told, key), ''), true);
END $$;

CREATE OR REPLACE FUNCTION enter_by_token(kennel uuid, hash bytea,
    OUT person_id uuid, OUT read_only boolean, OUT areas text[],
    OUT name text, OUT time_zone text, OUT jurisdiction text, OUT currency text, OUT role text)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE membership uuid; key bytea; told text := '';
BEGIN
    SELECT m.person_id, t.read_only, t.areas, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, m.id, w.key
    INTO person_id, read_only, areas, name, time_zone, jurisdiction, currency, role, membership, key
    FROM access_tokens t JOIN memberships m ON m.kennel_id = t.kennel_id AND m.id = t.membership_id
    JOIN kennels k ON k.id = t.kennel_id CROSS JOIN wall_key w
    WHERE t.token_hash = hash AND t.kennel_id = kennel AND (t.expires_at IS NULL OR t.expires_at > now());
    IF FOUND THEN
        told := scope_payload(kennel, person_id, membership, rights_of(role, areas));
    ELSE
        -- Of a token of another kennel nothing is told but that it is good there.
        SELECT h.person_id INTO person_id FROM access_token_by_hash(hash) h;
    END IF;
    -- Assigned, and not performed: so each is an expression and no statement.
    told := set_config('denwright.scope', told, true);
    told := set_config('denwright.proof', coalesce(scope_signature(told, key), ''), true);
END $$;

CREATE OR REPLACE FUNCTION enter_kennel_by_calendar_link(kennel uuid, hash bytea, today date) RETURNS void
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
CREATE OR REPLACE FUNCTION enter_kennel_by_booklet_link(kennel uuid, hash bytea, today date) RETURNS void
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
CREATE OR REPLACE FUNCTION enter_new_kennel(kennel uuid, session uuid, today date) RETURNS void
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
CREATE OR REPLACE FUNCTION stand_in(kennel uuid, person uuid, role text, today date) RETURNS void
LANGUAGE plpgsql AS $$
BEGIN
    PERFORM sign_scope(kennel, person, (SELECT m.id FROM memberships m WHERE m.kennel_id = kennel AND m.person_id = person),
        rights_of(role, NULL));
    PERFORM lapse_placements(today);
END $$;

-- Waits until no other transaction writes in the kennel.
CREATE OR REPLACE FUNCTION begin_writing() RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel CONSTANT uuid := current_kennel();
BEGIN
    IF kennel IS NOT NULL THEN
        PERFORM next_changes(kennel, 0);
    END IF;
END $$;
