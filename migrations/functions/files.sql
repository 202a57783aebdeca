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

-- Takes a buyer's contracts away, and out of the log, so that nothing refers to their files.
CREATE OR REPLACE FUNCTION forget_contracts(buyer uuid) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    kennel CONSTANT uuid := current_kennel();
    placed uuid[];
    gone bigint;
BEGIN
    IF NOT has_right('managing') THEN
        RAISE EXCEPTION 'only an owner erases a buyer' USING ERRCODE = 'insufficient_privilege';
    END IF;
    SELECT array_agg(DISTINCT id) INTO placed FROM (
        SELECT id FROM placements WHERE kennel_id = kennel AND buyer_id = buyer
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what = 'placement'
            AND buyer::text IN (before->>'buyer_id', after->>'buyer_id')) AS found;
    DELETE FROM attachments WHERE kennel_id = kennel AND placement_id = ANY (placed);
    GET DIAGNOSTICS gone = ROW_COUNT;
    DELETE FROM idempotency_keys a USING kennel_people k
    WHERE k.kennel_id = kennel AND a.person_id = k.person_id AND EXISTS (
        SELECT FROM changes c WHERE c.kennel_id = kennel AND c.what = 'attachment'
          AND coalesce(c.after, c.before)->>'placement_id' = ANY (placed::text[])
          AND strpos(a.body::text, c.row_id::text) > 0);
    UPDATE changes SET before = before - '{caption,sha256}'::text[], after = after - '{caption,sha256}'::text[]
    WHERE kennel_id = kennel AND what = 'attachment' AND coalesce(after, before)->>'placement_id' = ANY (placed::text[]);
    RETURN gone;
END $$;
