-- Who belongs to a kennel, from the invitation to the end of the membership.

-- A kennel keeps at least one owner, whatever two requests do at once; one that is set to end keeps none when its
-- last one has no login any more.
CREATE OR REPLACE FUNCTION keep_an_owner() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF OLD.role = 'owner' AND (TG_OP = 'DELETE' OR NEW.role <> 'owner') THEN
        PERFORM FROM kennels WHERE id = OLD.kennel_id FOR NO KEY UPDATE;
        IF FOUND AND NOT EXISTS (SELECT FROM memberships WHERE kennel_id = OLD.kennel_id AND role = 'owner')
           AND NOT kennel_is_cleared()
           AND NOT EXISTS (SELECT FROM people p JOIN kennel_ends e ON e.kennel_id = OLD.kennel_id
                           WHERE p.id = OLD.person_id AND p.left_at IS NOT NULL) THEN
            RAISE EXCEPTION 'the last owner of a kennel stays' USING ERRCODE = 'check_violation', CONSTRAINT = 'memberships_last_owner';
        END IF;
    END IF;
    RETURN NULL;
END $$;

-- Joins the kennel that the secret of an invitation opens: `joined`, `dead`, or `other_address`.
CREATE OR REPLACE FUNCTION accept_invitation(session uuid, hash bytea, membership uuid, moment timestamptz)
RETURNS TABLE (outcome text, kennel_id uuid)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE whose people; open invitations;
BEGIN
    -- Before the lock of writers, as whoever deletes their login takes them.
    SELECT p.* INTO whose FROM people p WHERE p.id = person_of_session(session) FOR SHARE;
    IF whose.id IS NULL OR person_of_session(session) IS NULL THEN
        RAISE invalid_authorization_specification USING MESSAGE = 'this session was ended; log in again';
    END IF;
    SELECT i.* INTO open FROM invitations i WHERE i.token_hash = hash;
    IF open.id IS NOT NULL THEN
        -- The lock that every writer takes first; it waits for a removal that is under way.
        PERFORM next_changes(open.kennel_id, 0);
        SELECT i.* INTO open FROM invitations i
        WHERE i.token_hash = hash AND i.accepted_at IS NULL AND i.expires_at > now() FOR UPDATE;
    END IF;
    IF open.id IS NULL THEN
        RETURN QUERY SELECT 'dead', NULL::uuid;
        RETURN;
    ELSIF open.email <> whose.email THEN
        RETURN QUERY SELECT 'other_address', NULL::uuid;
        RETURN;
    END IF;
    PERFORM sign_scope(open.kennel_id, whose.id, NULL, '');
    UPDATE invitations i SET accepted_at = moment WHERE i.kennel_id = open.kennel_id AND i.id = open.id;
    INSERT INTO memberships (kennel_id, id, person_id, role) VALUES (open.kennel_id, membership, whose.id, open.role);
    PERFORM set_config('denwright.scope', '', true);
    RETURN QUERY SELECT 'joined', open.kennel_id;
END $$;

-- Whether a kennel that comes in an archive keeps its id: where nobody else has a kennel, or where it is here and
-- whoever brings it belongs to it, which is then refused. Beside kennels of others it gets a new one, so that
-- nobody learns by an id whether it is here. Whose session it is says who brings it.
CREATE OR REPLACE FUNCTION keeps_its_id(session uuid, kennel uuid) RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT EXISTS (SELECT FROM memberships m WHERE m.kennel_id = kennel AND m.person_id = person_of_session(session))
        OR NOT EXISTS (
            SELECT FROM kennels k
            WHERE NOT EXISTS (
                SELECT FROM memberships m WHERE m.kennel_id = k.id AND m.person_id = person_of_session(session)))
$$;

-- An invitation that is still open would let the removed in again: those that they made, and those to
-- their own address. Who is an owner no more does not go on being told of everything either.
CREATE OR REPLACE FUNCTION membership_ends() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF TG_OP = 'DELETE' THEN
        DELETE FROM invitations i WHERE i.kennel_id = OLD.kennel_id AND i.accepted_at IS NULL
            AND (i.membership_id = OLD.id OR i.email = (SELECT email FROM people WHERE id = OLD.person_id));
    ELSIF OLD.role = 'owner' AND NEW.role <> 'owner' THEN
        DELETE FROM invitations i WHERE i.kennel_id = OLD.kennel_id AND i.accepted_at IS NULL AND i.membership_id = OLD.id;
        DELETE FROM webhooks w WHERE w.kennel_id = OLD.kennel_id AND w.membership_id = OLD.id;
    END IF;
    RETURN NULL;
END $$;
