-- Bytes that the kennel's pictures and papers take, with what is on its way.
CREATE OR REPLACE FUNCTION file_bytes() RETURNS bigint
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel CONSTANT uuid := current_kennel();
BEGIN
    RETURN (SELECT coalesce(sum(size_bytes), 0) FROM attachments WHERE kennel_id = kennel)
         + (SELECT coalesce(sum(greatest(announced_bytes, size_bytes)), 0) FROM uploads WHERE kennel_id = kennel);
END $$;

-- For how long a file is kept that nothing refers to any more but the log of changes: so long can its row be
-- brought back.
CREATE OR REPLACE FUNCTION file_memory() RETURNS interval LANGUAGE sql IMMUTABLE AS $$ SELECT interval '30 days' $$;

-- Those of these files that no row refers to, and no change that could be undone.
-- For the sweep, which belongs to no kennel: whoever asks must know the hash of the bytes already.
CREATE OR REPLACE FUNCTION files_of_no_row(kennels uuid[], sums text[]) RETURNS TABLE (kennel_id uuid, sha256 text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT f.kennel, f.sum FROM unnest(kennels, sums) AS f (kennel, sum)
    WHERE NOT EXISTS (SELECT FROM attachments a WHERE a.kennel_id = f.kennel AND a.sha256 = f.sum)
      AND NOT EXISTS (SELECT FROM uploads u WHERE u.kennel_id = f.kennel AND u.sha256 = f.sum)
      AND NOT EXISTS (SELECT FROM changes c WHERE c.kennel_id = f.kennel AND c.what = 'attachment' AND c.action = 'deleted'
                      AND c.before->>'sha256' = f.sum AND c.at > now() - file_memory())
$$;

CREATE OR REPLACE FUNCTION clear_uploads() RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE cleared bigint;
BEGIN
    DELETE FROM uploads WHERE expires_at < now();
    GET DIAGNOSTICS cleared = ROW_COUNT;
    RETURN cleared;
END $$;

-- A buyer's contracts: those of their placements, and those that hang on the pup itself, from the day on which it was
-- promised to them until it was promised to somebody else. The log knows them when they are deleted.
CREATE OR REPLACE FUNCTION contracts_of(buyer uuid) RETURNS SETOF uuid
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH promised AS (
        SELECT (c.after->>'buyer_id')::uuid AS whose, c.row_id AS id, (c.after->>'dog_id')::uuid AS dog_id, c.at AS since
        FROM changes c WHERE c.kennel_id = (SELECT current_kennel()) AND c.what = 'placement' AND c.after->>'buyer_id' IS NOT NULL
        UNION SELECT p.buyer_id, p.id, p.dog_id, p.created_at FROM placements p WHERE p.kennel_id = (SELECT current_kennel())
    ), kept AS (
        SELECT a.id, a.kind, a.placement_id, a.dog_id, a.created_at AS since FROM attachments a
        WHERE a.kennel_id = (SELECT current_kennel())
        UNION SELECT c.row_id, c.before->>'kind', (c.before->>'placement_id')::uuid, (c.before->>'dog_id')::uuid,
            (c.before->>'created_at')::timestamptz
        FROM changes c WHERE c.kennel_id = (SELECT current_kennel()) AND c.what = 'attachment' AND c.action = 'deleted'
    )
    SELECT k.id FROM kept k WHERE k.placement_id IN (SELECT p.id FROM promised p WHERE p.whose = buyer)
    UNION SELECT k.id FROM kept k WHERE k.kind = 'contract' AND buyer = (
        SELECT p.whose FROM promised p WHERE p.dog_id = k.dog_id AND p.since <= k.since ORDER BY p.since DESC LIMIT 1)
$$;

-- Takes a buyer's contracts away, and out of the log, so that nothing refers to their files.
CREATE OR REPLACE FUNCTION forget_contracts(buyer uuid) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    kennel CONSTANT uuid := current_kennel();
    contracts uuid[];
    gone bigint;
BEGIN
    IF NOT has_right('managing') THEN
        RAISE EXCEPTION 'only an owner erases a buyer' USING ERRCODE = 'insufficient_privilege';
    END IF;
    contracts := ARRAY(SELECT contracts_of(buyer));
    DELETE FROM attachments WHERE kennel_id = kennel AND id = ANY (contracts);
    GET DIAGNOSTICS gone = ROW_COUNT;
    DELETE FROM idempotency_keys a USING kennel_people k
    WHERE k.kennel_id = kennel AND a.person_id = k.person_id
      AND EXISTS (SELECT FROM unnest(contracts) AS id WHERE strpos(a.body::text, id::text) > 0);
    UPDATE changes SET before = before - '{caption,sha256}'::text[], after = after - '{caption,sha256}'::text[]
    WHERE kennel_id = kennel AND what = 'attachment' AND row_id = ANY (contracts);
    RETURN gone;
END $$;
