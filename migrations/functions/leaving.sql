-- How somebody leaves for good: a person with their login, and a kennel with all that it has.

-- ---------------------------------------------------------------------------------------------------------
-- A login.

-- Takes a person out of one kennel: the membership with all that hangs on it, invitations to their address, what they
-- brought and nobody took up, and their names in what the log says of these.
CREATE OR REPLACE FUNCTION forget_in_kennel(kennel uuid, person uuid, address text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    DELETE FROM memberships m WHERE m.kennel_id = kennel AND m.person_id = person;
    DELETE FROM invitations i WHERE i.kennel_id = kennel AND i.email = address;
    DELETE FROM uploads u WHERE u.kennel_id = kennel AND u.person_id = person;
    UPDATE changes c SET before = c.before - 'email', after = c.after - 'email'
    WHERE c.kennel_id = kennel AND c.what = 'invitation' AND address IN (c.before->>'email', c.after->>'email');
    -- What somebody called a token or a link of theirs often tells who they are.
    UPDATE changes c SET before = c.before - 'name', after = c.after - 'name'
    WHERE c.kennel_id = kennel AND c.what IN ('access_token', 'calendar_link')
      AND coalesce(c.after, c.before)->>'person_id' = person::text;
END $$;

-- Ends the login of a session's person who showed this password, and all that it opened. What they wrote in kennels
-- stays, and names them by an id that nothing else is known of. Nothing is done while a kennel that goes on has no
-- other owner: `owned` names those. No row when the session has ended or the password was changed in between.
CREATE OR REPLACE FUNCTION end_login(session uuid, shown_hash text, moment timestamptz)
RETURNS TABLE (address text, owned text[])
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE who people; kennels_known uuid[]; kennel uuid; own text[]; traces text;
BEGIN
    SELECT p.* INTO who FROM people p WHERE p.id = person_of_session(session) FOR NO KEY UPDATE;
    -- Again: another may have been before us at the lock.
    IF who.id IS NULL OR person_of_session(session) IS NULL OR who.password_hash <> shown_hash THEN
        RETURN;
    END IF;
    kennels_known := ARRAY(
        SELECT k.kennel_id FROM kennel_people k WHERE k.person_id = who.id
        UNION SELECT i.kennel_id FROM invitations i WHERE i.email = who.email ORDER BY 1);
    -- The lock that every writer takes first, so that of two owners who leave at once one is the last.
    FOREACH kennel IN ARRAY kennels_known LOOP
        PERFORM next_changes(kennel, 0);
    END LOOP;
    SELECT array_agg(k.name ORDER BY k.name, k.id) INTO own FROM memberships m JOIN kennels k ON k.id = m.kennel_id
    WHERE m.person_id = who.id AND m.role = 'owner'
      AND NOT EXISTS (SELECT FROM memberships o WHERE o.kennel_id = m.kennel_id AND o.role = 'owner' AND o.id <> m.id)
      AND NOT EXISTS (SELECT FROM kennel_ends e WHERE e.kennel_id = m.kennel_id);
    IF own IS NOT NULL THEN
        RETURN QUERY SELECT NULL::text, own;
        RETURN;
    END IF;

    PERFORM end_sessions_of(who.id);
    UPDATE people p SET name = '(former member)', email = NULL, left_at = moment, password_hash = '',
        totp_on = false, totp_secret = NULL, totp_step = 0, proven_at = NULL
    WHERE p.id = who.id;
    FOREACH kennel IN ARRAY kennels_known LOOP
        -- Where nobody knew them, an invitation goes as if by itself.
        PERFORM sign_scope(kennel, (SELECT k.person_id FROM kennel_people k WHERE k.kennel_id = kennel AND k.person_id = who.id), NULL, '');
        PERFORM forget_in_kennel(kennel, who.id, who.email);
    END LOOP;
    PERFORM set_config('denwright.scope', '', true), set_config('denwright.proof', '', true);

    DELETE FROM sessions s WHERE s.person_id = who.id;
    DELETE FROM recovery_codes r WHERE r.person_id = who.id;
    DELETE FROM password_resets r WHERE r.person_id = who.id;
    DELETE FROM idempotency_keys a WHERE a.person_id = who.id;
    -- Answers kept for the repeats of others in the same kennels.
    traces := traces_pattern(ARRAY[who.email] || CASE WHEN length(who.name) >= 5 THEN ARRAY[who.name] END);
    UPDATE idempotency_keys a SET body = without_traces(a.body::text, traces, 'gi')::jsonb FROM kennel_people k
    WHERE k.kennel_id = ANY (kennels_known) AND a.person_id = k.person_id AND a.body::text ~* traces;
    DELETE FROM people p WHERE p.id = who.id AND NOT EXISTS (SELECT FROM kennel_people k WHERE k.person_id = p.id);
    RETURN QUERY SELECT who.email, '{}'::text[];
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- A kennel that is set to end.

-- For how long it can be taken back. A month is longer than anybody's holiday, and as long as the files of deleted
-- rows are kept (file_memory). Common practice, no source.
CREATE OR REPLACE FUNCTION time_to_think_again() RETURNS interval LANGUAGE sql IMMUTABLE AS $$ SELECT interval '30 days' $$;

-- When the kennel of the transaction ends; null when it goes on.
CREATE OR REPLACE FUNCTION kennel_ends_at() RETURNS timestamptz
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT e.ends_at FROM kennel_ends e WHERE e.kennel_id = (SELECT current_kennel())
$$;

CREATE OR REPLACE FUNCTION log_kennel_end(of_kennel uuid, was timestamptz, becomes timestamptz) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, after)
    SELECT of_kennel, next_changes(of_kennel, 1) + 1, current_person(), 'kennel', of_kennel, 'changed',
           logged(to_jsonb(k)) || jsonb_build_object('ends_at', was), logged(to_jsonb(k)) || jsonb_build_object('ends_at', becomes)
    FROM kennels k WHERE k.id = of_kennel;
END $$;

-- Has the kennel end, when its name was typed as it is; when that will be, and whether it was set just now. No row
-- for another name. A second request leaves the day as it is.
CREATE OR REPLACE FUNCTION end_kennel(typed_name text) RETURNS TABLE (ends_at timestamptz, fresh boolean)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel CONSTANT uuid := current_kennel(); is_new boolean; day timestamptz;
BEGIN
    IF NOT has_right('managing') THEN
        RAISE EXCEPTION 'only an owner deletes a kennel' USING ERRCODE = 'insufficient_privilege';
    END IF;
    PERFORM next_changes(kennel, 0);
    IF NOT EXISTS (SELECT FROM kennels k WHERE k.id = kennel AND k.name = typed_name) THEN
        RETURN;
    END IF;
    INSERT INTO kennel_ends AS e (kennel_id, person_id, ends_at)
    VALUES (kennel, current_person(), now() + time_to_think_again()) ON CONFLICT DO NOTHING;
    is_new := FOUND;
    SELECT e.ends_at INTO day FROM kennel_ends e WHERE e.kennel_id = kennel;
    IF is_new THEN
        PERFORM log_kennel_end(kennel, NULL, day);
    END IF;
    RETURN QUERY SELECT day, is_new;
END $$;

-- Has the kennel go on; false when it was not set to end, or its end has come.
CREATE OR REPLACE FUNCTION keep_kennel() RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel CONSTANT uuid := current_kennel(); day timestamptz;
BEGIN
    IF NOT has_right('managing') THEN
        RAISE EXCEPTION 'only an owner takes a deletion back' USING ERRCODE = 'insufficient_privilege';
    END IF;
    PERFORM next_changes(kennel, 0);
    DELETE FROM kennel_ends e WHERE e.kennel_id = kennel AND e.ends_at > now() RETURNING e.ends_at INTO day;
    IF day IS NULL THEN
        RETURN false;
    END IF;
    PERFORM log_kennel_end(kennel, day, NULL);
    RETURN true;
END $$;

-- Has each member told by mail, in the language in which they are rung, else in that of whoever acts.
CREATE OR REPLACE FUNCTION tell_members(moment timestamptz, contents jsonb, otherwise text) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE telling CONSTANT uuid := gen_random_uuid(); kennel CONSTANT uuid := current_kennel();
BEGIN
    IF NOT has_right('managing') THEN
        RAISE EXCEPTION 'only an owner tells all members' USING ERRCODE = 'insufficient_privilege';
    END IF;
    INSERT INTO rings (kennel_id, id, membership_id, person_id, alarm_id, turn, way, due_at, content, patient)
    SELECT kennel, gen_random_uuid(), m.id, m.person_id, telling, 0, 'mail', moment,
           coalesce(contents->(c.choices->>'language'), contents->otherwise), true
    FROM memberships m LEFT JOIN ring_choices c ON c.kennel_id = m.kennel_id AND c.membership_id = m.id
    WHERE m.kennel_id = kennel;
END $$;

-- Owners are told once more so long before the end.
CREATE OR REPLACE FUNCTION time_to_remind() RETURNS interval LANGUAGE sql IMMUTABLE AS $$ SELECT interval '7 days' $$;

-- The kennels that end soon and whose owners were not told so.
CREATE OR REPLACE FUNCTION kennels_to_remind() RETURNS TABLE (id uuid, name text, time_zone text, ends_at timestamptz)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT k.id, k.name, k.time_zone, e.ends_at FROM kennel_ends e JOIN kennels k ON k.id = e.kennel_id
    WHERE e.reminded_at IS NULL AND e.ends_at > now() AND e.ends_at <= now() + time_to_remind() ORDER BY e.ends_at, k.id
$$;

-- Has the owners of such a kennel told by mail, once, in the language in which they are rung; false when it was done,
-- or the kennel goes on.
CREATE OR REPLACE FUNCTION remind_owners(of_kennel uuid, moment timestamptz, contents jsonb, otherwise text) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE telling CONSTANT uuid := gen_random_uuid();
BEGIN
    -- Of two instances one waits, and finds it done.
    UPDATE kennel_ends e SET reminded_at = now()
    WHERE e.kennel_id = of_kennel AND e.reminded_at IS NULL AND e.ends_at > now() AND e.ends_at <= now() + time_to_remind();
    IF NOT FOUND THEN
        RETURN false;
    END IF;
    INSERT INTO rings (kennel_id, id, membership_id, person_id, alarm_id, turn, way, due_at, content, patient)
    SELECT of_kennel, gen_random_uuid(), m.id, m.person_id, telling, 0, 'mail', moment,
           coalesce(contents->(c.choices->>'language'), contents->otherwise), true
    FROM memberships m LEFT JOIN ring_choices c ON c.kennel_id = m.kennel_id AND c.membership_id = m.id
    WHERE m.kennel_id = of_kennel AND m.role = 'owner';
    RETURN true;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- A kennel that has ended: cleared away in steps, each whole by itself, by one instance at a time. The worker belongs
-- to no kennel; what it reaches through these has ended by the database's clock.

CREATE OR REPLACE FUNCTION ended_kennels() RETURNS SETOF uuid
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT e.kennel_id FROM kennel_ends e WHERE e.ends_at <= now() ORDER BY e.ends_at, e.kennel_id
$$;

-- Takes a kennel that has ended for this transaction; false when it goes on, is gone, or another instance has it.
CREATE OR REPLACE FUNCTION hold_ended_kennel(of_kennel uuid) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF NOT pg_try_advisory_xact_lock(hashtext('denwright ends'), hashtext(of_kennel::text)) THEN
        RETURN false;
    END IF;
    -- The lock that every writer takes first: what takes the deletion back, or writes, ends before.
    PERFORM FROM change_heads h WHERE h.kennel_id = of_kennel FOR UPDATE;
    PERFORM FROM kennel_ends e WHERE e.kennel_id = of_kennel AND e.ends_at <= now();
    RETURN FOUND;
END $$;

-- Lets nobody in any more: the first step. Streams that are open end.
CREATE OR REPLACE FUNCTION close_ended_kennel(of_kennel uuid) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF NOT hold_ended_kennel(of_kennel) THEN
        RETURN false;
    END IF;
    PERFORM sign_scope(of_kennel, NULL, NULL, rights_of('owner', NULL) || 'X');
    DELETE FROM memberships m WHERE m.kennel_id = of_kennel;
    PERFORM set_config('denwright.scope', '', true), set_config('denwright.proof', '', true);
    PERFORM pg_notify('denwright_changes', of_kennel::text);
    RETURN true;
END $$;

-- What is on its way to a kennel that has ended; its parts lie beside the files of all kennels.
CREATE OR REPLACE FUNCTION uploads_of_ended_kennel(of_kennel uuid) RETURNS SETOF uuid
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT u.id FROM uploads u JOIN kennel_ends e ON e.kennel_id = u.kennel_id WHERE u.kennel_id = of_kennel AND e.ends_at <= now()
$$;

-- Deletes up to so many rows of one table, of those that nothing refers to any more, and at last the kennel itself;
-- whether anything is left to do. Of rows that name each other those go first that none names: pups before their parents.
CREATE OR REPLACE FUNCTION clear_ended_kennel(of_kennel uuid, most integer) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE place record; filled oid[] := '{}'; has_rows boolean; gone bigint;
BEGIN
    IF NOT hold_ended_kennel(of_kennel) THEN
        RETURN false;
    END IF;
    PERFORM sign_scope(of_kennel, NULL, NULL, rights_of('owner', NULL) || 'X');
    FOR place IN
        SELECT c.oid, c.oid::regclass AS name FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid
        WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND a.attname = 'kennel_id' AND NOT a.attisdropped
          AND c.relname NOT IN ('kennels', 'kennel_ends', 'change_heads')
    LOOP
        EXECUTE format('SELECT EXISTS (SELECT FROM %s WHERE kennel_id = $1)', place.name) INTO has_rows USING of_kennel;
        IF has_rows THEN
            filled := filled || place.oid;
        END IF;
    END LOOP;
    SELECT t.id::regclass AS name, (
        SELECT string_agg(format(' AND NOT EXISTS (SELECT FROM %s o WHERE o.kennel_id = r.kennel_id AND o.%I = r.id)', t.id::regclass, a.attname), '')
        FROM pg_constraint c JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = c.conkey[2]
        WHERE c.contype = 'f' AND c.conrelid = t.id AND c.confrelid = t.id) AS named_by_none
    INTO place FROM unnest(filled) AS t (id)
    WHERE NOT EXISTS (SELECT FROM pg_constraint r WHERE r.contype = 'f' AND r.confrelid = t.id AND r.conrelid <> t.id AND r.conrelid = ANY (filled))
    ORDER BY t.id::regclass::text LIMIT 1;
    IF place.name IS NULL THEN
        -- Answers kept for repeats belong to persons, and are gone before the others' by no time of their own.
        DELETE FROM idempotency_keys a WHERE a.of_kennel = clear_ended_kennel.of_kennel;
        DELETE FROM kennels k WHERE k.id = clear_ended_kennel.of_kennel;
    ELSE
        EXECUTE format('DELETE FROM %1$s WHERE ctid = ANY (ARRAY(SELECT r.ctid FROM %1$s r WHERE r.kennel_id = $1%2$s LIMIT $2))',
            place.name, coalesce(place.named_by_none, '')) USING of_kennel, most;
        GET DIAGNOSTICS gone = ROW_COUNT;
        IF gone = 0 THEN
            -- They name each other in a ring.
            EXECUTE format('DELETE FROM %s WHERE kennel_id = $1', place.name) USING of_kennel;
            GET DIAGNOSTICS gone = ROW_COUNT;
            IF gone = 0 THEN
                RAISE EXCEPTION 'rows of % stay', place.name;
            END IF;
        END IF;
    END IF;
    PERFORM set_config('denwright.scope', '', true), set_config('denwright.proof', '', true);
    RETURN place.name IS NOT NULL;
END $$;
