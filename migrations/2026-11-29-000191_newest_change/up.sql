-- Whoever asks learns with their role which change of the kennel is the newest: whether an answer can have
-- changed since it was given costs no statement of its own.
DROP FUNCTION session_in_kennel(uuid, uuid);
DROP FUNCTION access_token_by_hash(bytea);

-- No row when the session has ended; null particulars when its person is no member.
CREATE FUNCTION session_in_kennel(session uuid, kennel uuid)
RETURNS TABLE (person_id uuid, name text, time_zone text, jurisdiction text, currency text, role text, newest_change bigint)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT s.person_id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, h.sequence
    FROM sessions s
    LEFT JOIN memberships m ON m.kennel_id = kennel AND m.person_id = s.person_id
    LEFT JOIN kennels k ON k.id = m.kennel_id
    LEFT JOIN change_heads h ON h.kennel_id = m.kennel_id
    WHERE s.id = session AND s.ended_at IS NULL;
END $$;

CREATE FUNCTION access_token_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, read_only boolean, areas text[],
               name text, time_zone text, jurisdiction text, currency text, role text, newest_change bigint)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT t.kennel_id, m.person_id, t.read_only, t.areas, k.name, k.time_zone, k.jurisdiction, k.currency, m.role,
           h.sequence
    FROM access_tokens t JOIN memberships m ON m.kennel_id = t.kennel_id AND m.id = t.membership_id
    JOIN kennels k ON k.id = t.kennel_id LEFT JOIN change_heads h ON h.kennel_id = t.kennel_id
    WHERE t.token_hash = hash AND (t.expires_at IS NULL OR t.expires_at > now());
END $$;
