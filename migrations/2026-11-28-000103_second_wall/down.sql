ALTER TABLE access_tokens ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE calendar_links ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE booklet_links ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE webhooks ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE invitations ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE webhooks ALTER COLUMN secret SET DEFAULT
    decode(replace(gen_random_uuid()::text || gen_random_uuid()::text, '-', ''), 'hex');

DROP FUNCTION enter_kennel(uuid, uuid, date), enter_kennel_by_token(uuid, bytea, date),
    enter_kennel_by_calendar_link(uuid, bytea, date), enter_kennel_by_booklet_link(uuid, bytea, date),
    enter_new_kennel(uuid, uuid, date), stand_in(uuid, uuid, text, date), begin_writing(),
    person_of_session(uuid), session_in_kennel(uuid, uuid), kennels_of_session(uuid),
    access_token_by_hash(bytea), calendar_link_by_hash(bytea), booklet_link_by_hash(bytea),
    sign_scope(uuid, uuid, uuid, text), scope_payload(uuid, uuid, uuid, text), rights_of(text, text[]),
    current_membership(), has_right(text), asks_once(text);

DO $$
DECLARE told record; body text;
BEGIN
    FOR told IN
        SELECT oid, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace AND prosrc LIKE '%proven_scope%'
        AND proname NOT IN ('current_kennel', 'current_person', 'sees_all', 'sees_money', 'lapse_placements')
    LOOP
        body := replace(told.prosrc, '(SELECT proven_scope.kennel FROM proven_scope)', 'current_kennel()');
        body := replace(body, '(SELECT proven_scope.person FROM proven_scope)', 'current_person()');
        body := replace(body, '(SELECT proven_scope.all_dogs FROM proven_scope)', 'sees_all()');
        body := replace(body, '(SELECT proven_scope.prices FROM proven_scope)', 'sees_money()');
        EXECUTE replace(pg_get_functiondef(told.oid), told.prosrc, body);
    END LOOP;
END $$;
CREATE OR REPLACE FUNCTION current_kennel() RETURNS uuid LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT nullif(current_setting('denwright.kennel', true), '')::uuid $$;
CREATE OR REPLACE FUNCTION current_person() RETURNS uuid LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT nullif(current_setting('denwright.person', true), '')::uuid $$;
CREATE OR REPLACE FUNCTION sees_all() RETURNS boolean LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT current_setting('denwright.sees', true) = 'all' $$;
CREATE OR REPLACE FUNCTION sees_money() RETURNS boolean LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT current_setting('denwright.money', true) = 'yes' $$;
CREATE OR REPLACE FUNCTION lapse_placements(today date) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    over CONSTANT text[] := '{offered,reserved}';
    person CONSTANT text := current_setting('denwright.person', true);
    lapsed bigint;
BEGIN
    IF current_setting('transaction_read_only') = 'on' OR NOT EXISTS (
        SELECT FROM placements
        WHERE kennel_id = current_kennel() AND stage IN ('offered', 'reserved') AND reserved_until < today
    ) THEN
        RETURN 0;
    END IF;
    -- The lock that every writer takes first.
    PERFORM next_changes(current_kennel(), 0);
    PERFORM set_config('denwright.person', '', true);
    UPDATE placements SET stage = 'lapsed'
    WHERE kennel_id = current_kennel() AND stage = ANY (over) AND reserved_until < today;
    GET DIAGNOSTICS lapsed = ROW_COUNT;
    PERFORM set_config('denwright.person', coalesce(person, ''), true);
    RETURN lapsed;
END $$;
DROP VIEW proven_scope;
DROP FUNCTION scope_signature(text, bytea);
DROP TABLE wall_key;

CREATE FUNCTION kennels_of(person uuid)
RETURNS TABLE (id uuid, name text, time_zone text, jurisdiction text, currency text, role text, generation integer)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT k.id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, p.generation
    FROM memberships m JOIN kennels k ON k.id = m.kennel_id JOIN people p ON p.id = m.person_id
    WHERE m.person_id = person ORDER BY k.id
$$;
CREATE FUNCTION membership_of(person uuid, kennel uuid)
RETURNS TABLE (id uuid, name text, time_zone text, jurisdiction text, currency text, role text, generation integer)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT k.id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, p.generation
    FROM memberships m JOIN kennels k ON k.id = m.kennel_id JOIN people p ON p.id = m.person_id
    WHERE m.kennel_id = kennel AND m.person_id = person;
END $$;
CREATE FUNCTION enter_kennel(kennel uuid, person uuid, sees text, money text, today date) RETURNS void
LANGUAGE plpgsql AS $$
BEGIN
    PERFORM set_config('denwright.kennel', kennel::text, true), set_config('denwright.person', person::text, true),
            set_config('denwright.sees', sees, true), set_config('denwright.money', money, true);
    PERFORM lapse_placements(today);
END $$;
CREATE FUNCTION access_token_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, read_only boolean, areas text[])
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT t.kennel_id, t.person_id, t.read_only, t.areas FROM access_tokens t
    WHERE t.token_hash = hash AND (t.expires_at IS NULL OR t.expires_at > now());
END $$;
CREATE FUNCTION calendar_link_by_hash(hash bytea) RETURNS TABLE (kennel_id uuid, person_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT l.kennel_id, l.person_id FROM calendar_links l WHERE l.token_hash = hash
$$;
CREATE FUNCTION booklet_link_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, dog_id uuid, name text, time_zone text, jurisdiction text, currency text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT l.kennel_id, l.dog_id, k.name, k.time_zone, k.jurisdiction, k.currency
    FROM booklet_links l JOIN kennels k ON k.id = l.kennel_id
    WHERE l.token_hash = hash AND (l.expires_at IS NULL OR l.expires_at > now())
$$;
