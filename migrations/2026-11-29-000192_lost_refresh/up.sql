-- An answer that is lost on its way to a phone must not end the session: for a short while the token that was
-- spent last is good again, as long as the one made of it was not used. That one is then as if spent long ago,
-- so that whoever shows it ends the session: one of the two who hold them must have stolen theirs.
DROP FUNCTION rotate_session(bytea, bytea, timestamptz, timestamptz);
CREATE FUNCTION rotate_session(
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
