DROP FUNCTION rotate_session(bytea, bytea, timestamptz, timestamptz, interval);
-- Spends a refresh token and writes the next one of its session; no row when it is not good. One that was
-- spent before ends the session: one of the two who hold it must have stolen it.
CREATE FUNCTION rotate_session(old_hash bytea, new_hash bytea, good_until timestamptz, moment timestamptz)
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
    IF token.spent_at IS NOT NULL OR token.expires_at <= moment THEN
        UPDATE sessions s SET ended_at = moment WHERE s.id = session.id;
        RETURN;
    END IF;
    UPDATE refresh_tokens t SET spent_at = moment WHERE t.id = token.id;
    INSERT INTO refresh_tokens (id, family_id, person_id, token_hash, expires_at)
    VALUES (gen_random_uuid(), session.id, whose, new_hash, good_until);
    RETURN QUERY SELECT session.id, whose;
END $$;
