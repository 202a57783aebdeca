DROP FUNCTION kennels_of(uuid);
CREATE FUNCTION kennels_of(person uuid)
RETURNS TABLE (id uuid, name text, time_zone text, jurisdiction text, currency text, role text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT k.id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role
    FROM memberships m JOIN kennels k ON k.id = m.kennel_id
    WHERE m.person_id = person ORDER BY k.id
$$;
DROP FUNCTION access_token_by_hash(bytea);
CREATE FUNCTION access_token_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, read_only boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT t.kennel_id, t.person_id, t.read_only FROM access_tokens t
    WHERE t.token_hash = hash AND (t.expires_at IS NULL OR t.expires_at > now())
$$;
ALTER TABLE access_tokens DROP COLUMN areas;
DROP INDEX refresh_tokens_age;
DROP TABLE attempts;
DROP TABLE password_resets;
DROP TABLE recovery_codes;
ALTER TABLE people DROP CONSTRAINT people_totp, DROP COLUMN totp_step, DROP COLUMN totp_on, DROP COLUMN totp_secret,
    DROP COLUMN generation;
