-- What a login rests on, which the service's role does not read or write itself. Each function locks the person
-- first, so that what ends sessions and what goes on with one wait for each other.

-- ---------------------------------------------------------------------------------------------------------
-- People.

CREATE OR REPLACE FUNCTION add_person(id uuid, name text, email text, password_hash text, proven boolean) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    INSERT INTO people (id, name, email, password_hash, proven_at)
    VALUES ($1, $2, $3, $4, CASE WHEN proven THEN now() END)
$$;

-- Whoever holds an invitation makes the login that it asks for, also where sign-up is closed. It is used up
-- only when they join. False for one that is unknown, used, expired or for another address.
CREATE OR REPLACE FUNCTION add_invited_person(id uuid, name text, email text, password_hash text, invitation_hash bytea)
RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM FROM invitations i
    WHERE i.token_hash = invitation_hash AND i.email = $3 AND i.accepted_at IS NULL AND i.expires_at > now();
    IF NOT FOUND THEN
        RETURN false;
    END IF;
    -- The link may have come by another way than by mail: that proves nothing of the address.
    PERFORM add_person($1, $2, $3, $4, false);
    RETURN true;
END $$;

CREATE OR REPLACE FUNCTION account_by_email(address text)
RETURNS TABLE (id uuid, name text, email text, password_hash text, generation integer, totp_secret bytea, totp_on boolean, totp_step bigint)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT id, name, email, password_hash, generation, totp_secret, totp_on, totp_step FROM people WHERE email = address
$$;

CREATE OR REPLACE FUNCTION account_of_session(session uuid)
RETURNS TABLE (id uuid, name text, email text, password_hash text, generation integer, totp_secret bytea, totp_on boolean, totp_step bigint)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT p.id, p.name, p.email, p.password_hash, p.generation, p.totp_secret, p.totp_on, p.totp_step
    FROM people p WHERE p.id = person_of_session(session)
$$;

-- ---------------------------------------------------------------------------------------------------------
-- Sessions.

-- Begins a session with its first refresh token, unless the person's sessions were ended since `seen`.
CREATE OR REPLACE FUNCTION begin_session(session uuid, person uuid, seen integer, hash bytea, good_until timestamptz) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM FROM people WHERE id = person AND generation = seen FOR SHARE;
    IF NOT FOUND THEN
        RETURN false;
    END IF;
    INSERT INTO sessions (id, person_id, generation) VALUES (session, person, seen);
    INSERT INTO refresh_tokens (id, family_id, person_id, token_hash, expires_at)
    VALUES (gen_random_uuid(), session, person, hash, good_until);
    RETURN true;
END $$;

-- Spends a refresh token and writes the next one of its session; no row when it is not good. One that was spent
-- before ends the session: one of the two who hold it must have stolen it. But an answer that is lost on its way to a
-- phone must not end it: for a short while (`good_again`) the token that was spent last is good again, as long as the
-- one made of it was not used. That one is then as if spent long ago, so that whoever shows it ends the session.
CREATE OR REPLACE FUNCTION rotate_session(
    old_hash bytea, new_hash bytea, good_until timestamptz, moment timestamptz, good_again interval)
RETURNS TABLE (session_id uuid, person_id uuid)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE whose uuid; now_at integer; token refresh_tokens; session sessions;
BEGIN
    SELECT t.person_id INTO whose FROM refresh_tokens t WHERE t.token_hash = old_hash;
    SELECT p.generation INTO now_at FROM people p WHERE p.id = whose FOR SHARE;
    SELECT t.* INTO token FROM refresh_tokens t WHERE t.token_hash = old_hash FOR UPDATE;
    IF token.id IS NULL THEN
        RETURN;
    END IF;
    SELECT s.* INTO session FROM sessions s WHERE s.id = token.family_id FOR UPDATE;
    IF session.ended_at IS NOT NULL OR session.generation <> now_at THEN
        RETURN;
    END IF;
    IF token.expires_at <= moment OR (token.spent_at IS NOT NULL AND (
        token.spent_at <= moment - good_again
        OR EXISTS (SELECT FROM refresh_tokens t WHERE t.family_id = session.id AND t.spent_at > token.spent_at)
    )) THEN
        UPDATE sessions s SET ended_at = moment WHERE s.id = session.id;
        RETURN;
    END IF;
    UPDATE refresh_tokens t SET spent_at = '-infinity'
    WHERE t.family_id = session.id AND t.id <> token.id AND t.spent_at IS NULL;
    UPDATE refresh_tokens t SET spent_at = coalesce(t.spent_at, moment) WHERE t.id = token.id;
    INSERT INTO refresh_tokens (id, family_id, person_id, token_hash, expires_at)
    VALUES (gen_random_uuid(), session.id, whose, new_hash, good_until);
    RETURN QUERY SELECT session.id, whose;
END $$;

CREATE OR REPLACE FUNCTION end_session(hash bytea, moment timestamptz) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    UPDATE sessions SET ended_at = moment
    WHERE id = (SELECT family_id FROM refresh_tokens WHERE token_hash = hash) AND ended_at IS NULL
$$;

-- Ends all sessions of a person; not for the service, which ends those of a session's own person.
CREATE OR REPLACE FUNCTION end_sessions_of(person uuid) RETURNS integer LANGUAGE plpgsql AS $$
DECLARE begun integer;
BEGIN
    UPDATE people SET generation = generation + 1 WHERE id = person RETURNING generation INTO begun;
    RETURN begun;
END $$;

CREATE OR REPLACE FUNCTION end_all_sessions(session uuid, moment timestamptz) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM end_sessions_of(person_of_session(session));
END $$;

-- A stream of changes that is idle asks nothing: the end of its session wakes it.
CREATE OR REPLACE FUNCTION session_ends() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM pg_notify('denwright_changes', NEW.person_id::text);
    RETURN NULL;
END $$;

-- Whoever moves a person's generation on, an operator by hand among them, ends their sessions.
CREATE OR REPLACE FUNCTION generation_moves() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE sessions SET ended_at = now() WHERE person_id = NEW.id AND ended_at IS NULL;
    RETURN NULL;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- Passwords.

-- Sets a password in place of the one that was shown; the generation of the next sessions, or null when the
-- session has ended or the password was changed in between.
CREATE OR REPLACE FUNCTION change_password(session uuid, shown_hash text, new_hash text, moment timestamptz) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE person CONSTANT uuid := person_of_session(session);
BEGIN
    PERFORM FROM people WHERE id = person FOR UPDATE;
    -- Again: another may have been before us at the lock.
    IF person_of_session(session) IS NULL THEN
        RETURN NULL;
    END IF;
    UPDATE people SET password_hash = new_hash WHERE id = person AND password_hash = shown_hash;
    IF NOT FOUND THEN
        RETURN NULL;
    END IF;
    -- An open reset would give whoever reads the mail a way past the new password.
    DELETE FROM password_resets WHERE person_id = person;
    RETURN end_sessions_of(person);
END $$;

-- Opens a reset in place of the one that was asked for from the same place; whom to write to, if anybody.
CREATE OR REPLACE FUNCTION open_reset(address text, place bytea, hash bytea, tries smallint, good_until timestamptz) RETURNS text
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE person uuid;
BEGIN
    SELECT id INTO person FROM people WHERE email = address;
    IF person IS NULL THEN
        RETURN NULL;
    END IF;
    INSERT INTO password_resets (person_id, asked_from, code_hash, tries_left, expires_at)
    VALUES (person, place, hash, tries, good_until)
    ON CONFLICT (person_id, asked_from)
        DO UPDATE SET code_hash = hash, tries_left = tries, expires_at = good_until;
    RETURN address;
END $$;

-- The name of the person whose reset a code opens; nothing is spent.
CREATE OR REPLACE FUNCTION name_of_reset(address text, hash bytea, moment timestamptz) RETURNS text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT p.name FROM people p JOIN password_resets r ON r.person_id = p.id
    WHERE p.email = address AND r.code_hash = hash AND r.expires_at > moment AND r.tries_left > 0
$$;

-- Sets a password by the code of a mail, once. A wrong code spends a try of the reset that was asked for
-- from the same place. Who shows for the first time that they read the mail of the address is rid of what
-- somebody else may have set up under it: a second factor, and what lets others in.
CREATE OR REPLACE FUNCTION reset_password(address text, place bytea, hash bytea, new_hash text, moment timestamptz) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE person uuid; proven timestamptz;
BEGIN
    SELECT id, proven_at INTO person, proven FROM people WHERE email = address FOR UPDATE;
    PERFORM FROM password_resets r
    WHERE r.person_id = person AND r.code_hash = hash AND r.expires_at > moment AND r.tries_left > 0;
    IF NOT FOUND THEN
        UPDATE password_resets SET tries_left = tries_left - 1
        WHERE person_id = person AND asked_from = place AND tries_left > 0;
        RETURN false;
    END IF;
    DELETE FROM password_resets WHERE person_id = person;
    UPDATE people SET password_hash = new_hash, proven_at = coalesce(proven_at, moment) WHERE id = person;
    IF proven IS NULL THEN
        UPDATE people SET totp_on = false, totp_secret = NULL WHERE id = person;
        DELETE FROM recovery_codes WHERE person_id = person;
        DELETE FROM access_tokens t USING memberships m
        WHERE m.person_id = person AND t.kennel_id = m.kennel_id AND t.membership_id = m.id;
        DELETE FROM calendar_links t USING memberships m
        WHERE m.person_id = person AND t.kennel_id = m.kennel_id AND t.membership_id = m.id;
        DELETE FROM booklet_links t USING memberships m
        WHERE m.person_id = person AND t.kennel_id = m.kennel_id AND t.membership_id = m.id;
        DELETE FROM webhooks t USING memberships m
        WHERE m.person_id = person AND t.kennel_id = m.kennel_id AND t.membership_id = m.id;
        DELETE FROM invitations t USING memberships m
        WHERE m.person_id = person AND t.kennel_id = m.kennel_id AND t.membership_id = m.id AND t.accepted_at IS NULL;
    END IF;
    PERFORM end_sessions_of(person);
    RETURN true;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- The second factor. Turning it on or off ends all sessions but the one that does it.

CREATE OR REPLACE FUNCTION go_on_alone(session uuid, person uuid) RETURNS void LANGUAGE plpgsql AS $$
DECLARE begun CONSTANT integer := end_sessions_of(person);
BEGIN
    UPDATE sessions SET ended_at = NULL, generation = begun WHERE id = session;
END $$;

-- Keeps the sealed secret of a second factor that is not confirmed yet; false when one is on already.
CREATE OR REPLACE FUNCTION begin_second_factor(session uuid, sealed bytea) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE people SET totp_secret = sealed, totp_step = 0 WHERE id = person_of_session(session) AND NOT totp_on;
    RETURN FOUND;
END $$;

CREATE OR REPLACE FUNCTION confirm_second_factor(session uuid, sealed bytea, step bigint, code_hashes bytea[], moment timestamptz) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE person CONSTANT uuid := person_of_session(session);
BEGIN
    PERFORM FROM people WHERE id = person FOR UPDATE;
    IF person_of_session(session) IS NULL THEN
        RETURN false;
    END IF;
    UPDATE people SET totp_on = true, totp_step = step WHERE id = person AND NOT totp_on AND totp_secret = sealed;
    IF NOT FOUND THEN
        RETURN false;
    END IF;
    DELETE FROM recovery_codes WHERE person_id = person;
    INSERT INTO recovery_codes (person_id, code_hash) SELECT person, unnest(code_hashes);
    PERFORM go_on_alone(session, person);
    RETURN true;
END $$;

CREATE OR REPLACE FUNCTION end_second_factor(session uuid, moment timestamptz) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE person CONSTANT uuid := person_of_session(session);
BEGIN
    PERFORM FROM people WHERE id = person FOR UPDATE;
    IF person_of_session(session) IS NULL THEN
        RETURN;
    END IF;
    UPDATE people SET totp_on = false, totp_secret = NULL WHERE id = person;
    DELETE FROM recovery_codes WHERE person_id = person;
    PERFORM go_on_alone(session, person);
END $$;

-- Takes the code of a time step, unless it or a later one was taken before.
CREATE OR REPLACE FUNCTION spend_step(person uuid, step bigint) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE people SET totp_step = step WHERE id = person AND totp_on AND totp_step < step;
    RETURN FOUND;
END $$;

CREATE OR REPLACE FUNCTION spend_recovery_code(person uuid, hash bytea) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    DELETE FROM recovery_codes WHERE person_id = person AND code_hash = hash;
    RETURN FOUND;
END $$;

CREATE OR REPLACE FUNCTION recovery_codes_left(session uuid) RETURNS bigint
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT count(*) FROM recovery_codes WHERE person_id = person_of_session(session)
$$;

-- ---------------------------------------------------------------------------------------------------------
-- Tries to log in.

-- Counts a try under each of these keys before it is made, so that tries at the same moment do not slip
-- through together; the seconds to wait when it may not be made now. After the free tries each waits twice
-- as long as the one before, from 15 seconds to 15 minutes; a day without a try forgets. A wait that was set
-- while the clock was ahead bars nobody.
CREATE OR REPLACE FUNCTION count_try(keys bytea[], free integer[]) RETURNS integer
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE wait integer;
BEGIN
    FOR at IN 1 .. cardinality(keys) LOOP
        INSERT INTO attempts AS a (key, failures, last_at, blocked_until) VALUES (keys[at], 1, now(), now())
        ON CONFLICT (key) DO UPDATE SET
            failures = CASE WHEN a.last_at < now() - interval '1 day' THEN 1 ELSE a.failures + 1 END,
            last_at = now(),
            blocked_until = now() + CASE
                WHEN a.last_at < now() - interval '1 day' OR a.failures + 1 < free[at] THEN interval '0'
                ELSE interval '1 second' * least(900, 15 * 2 ^ least(a.failures + 1 - free[at], 10)) END
        WHERE a.blocked_until <= now() OR a.last_at > now() + interval '1 minute';
        IF NOT FOUND THEN
            SELECT greatest(1, ceil(extract(epoch FROM blocked_until - now())))::integer INTO wait
            FROM attempts WHERE key = keys[at];
            RETURN coalesce(wait, 1);
        END IF;
    END LOOP;
    RETURN NULL;
END $$;

-- A try turned out good: those of `forgotten` are forgotten, and one of `taken_back` is taken back and no
-- more, since somebody who tries many accounts must not wipe the slate with one of their own.
CREATE OR REPLACE FUNCTION try_was_good(forgotten bytea[], taken_back bytea) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    DELETE FROM attempts WHERE key = ANY (forgotten);
    UPDATE attempts SET failures = greatest(0, failures - 1), blocked_until = now() WHERE key = taken_back;
$$;

-- Forgets the tries on an account from everywhere: their keys begin alike.
CREATE OR REPLACE FUNCTION forget_tries(account bytea) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    DELETE FROM attempts
    WHERE key BETWEEN account AND account || '\xffffffffffffffffffffffffffffffff'::bytea AND length(account) = 16
$$;

-- ---------------------------------------------------------------------------------------------------------
-- Clearing away.

-- Deletes what is over. Tokens live a day at most, so a key whose successor is older verifies nothing any
-- more; false when another instance is at it.
CREATE OR REPLACE FUNCTION clear_away() RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF NOT pg_try_advisory_xact_lock(hashtext('denwright upkeep')) THEN
        RETURN false;
    END IF;
    DELETE FROM signing_keys k WHERE EXISTS (SELECT FROM signing_keys n
        WHERE n.id > k.id AND n.created_at < now() - interval '25 hours');
    -- Kept for a while after their end: a stolen one that comes back must still be known.
    DELETE FROM refresh_tokens WHERE expires_at < now() - interval '30 days';
    DELETE FROM sessions s WHERE s.created_at < now() - interval '1 day'
        AND NOT EXISTS (SELECT FROM refresh_tokens t WHERE t.family_id = s.id);
    DELETE FROM password_resets WHERE expires_at < now();
    DELETE FROM attempts WHERE last_at < now() - interval '1 day';
    DELETE FROM idempotency_keys WHERE created_at < now() - interval '7 days';
    -- Whom no kennel's rows name any more.
    DELETE FROM people p WHERE p.left_at IS NOT NULL AND NOT EXISTS (SELECT FROM kennel_people k WHERE k.person_id = p.id);
    PERFORM clear_webhook_deliveries();
    PERFORM clear_rings();
    RETURN true;
END $$;
