-- What a new owner tells by the link of a booklet. The transaction has been entered by it (enter_kennel_by_booklet_link),
-- which has no right to write; these write one report, tell the link's own and take back what nobody has decided.

CREATE OR REPLACE FUNCTION booklet_link_here(hash bytea) RETURNS booklet_links
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT l FROM booklet_links l
    WHERE l.token_hash = hash AND l.kennel_id = (SELECT kennel FROM proven_scope)
      AND (l.expires_at IS NULL OR l.expires_at > now())
$$;

CREATE OR REPLACE FUNCTION tell_by_booklet_link(hash bytea, report uuid, told jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE link CONSTANT booklet_links := booklet_link_here(hash);
BEGIN
    IF link.id IS NULL THEN
        RAISE no_data_found USING MESSAGE = 'no such link';
    END IF;
    -- The lock that every writer takes first: so that two at once do not pass the count together.
    PERFORM next_changes(link.kennel_id, 0);
    IF (SELECT count(*) FROM buyer_reports r
        WHERE r.kennel_id = link.kennel_id AND r.dog_id = link.dog_id AND r.status = 'waiting') >= 10 THEN
        RAISE unique_violation USING MESSAGE = 'too many reports wait', CONSTRAINT = 'buyer_reports_at_most';
    END IF;
    INSERT INTO buyer_reports (kennel_id, id, dog_id, buyer_id, link_id, news, status)
    SELECT link.kennel_id, report, link.dog_id, (
        SELECT p.buyer_id FROM placements p
        WHERE p.kennel_id = link.kennel_id AND p.dog_id = link.dog_id AND p.kind <> 'return'
          AND p.stage IN ('handed_over', 'confirmed', 'reserved')
        ORDER BY p.stage = 'handed_over' DESC, p.id DESC LIMIT 1), link.id, told, 'waiting';
END $$;

CREATE OR REPLACE FUNCTION told_by_booklet_link(hash bytea)
RETURNS TABLE (id uuid, created_at timestamptz, news jsonb, status text, refusal_reason text, decided_on date)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE link CONSTANT booklet_links := booklet_link_here(hash);
BEGIN
    RETURN QUERY
    SELECT r.id, r.created_at, r.news, r.status, r.refusal_reason, r.decided_on FROM buyer_reports r
    WHERE r.kennel_id = link.kennel_id AND r.link_id = link.id ORDER BY r.id;
END $$;

-- Empties what the log and answers kept for repeats hold of reports; their rows are gone.
CREATE OR REPLACE FUNCTION forget_reports(kennel uuid, reports uuid[]) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE changes SET before = before || '{"news": {}, "refusal_reason": null, "buyer_id": null}',
                       after = after || '{"news": {}, "refusal_reason": null, "buyer_id": null}'
    WHERE kennel_id = kennel AND what = 'buyer_report' AND row_id = ANY (reports);
    DELETE FROM idempotency_keys a USING kennel_people k
    WHERE k.kennel_id = kennel AND a.person_id = k.person_id
      AND EXISTS (SELECT FROM unnest(reports) AS id WHERE strpos(a.body::text, id::text) > 0);
END $$;

CREATE OR REPLACE FUNCTION take_back_by_booklet_link(hash bytea, report uuid) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE link CONSTANT booklet_links := booklet_link_here(hash);
BEGIN
    PERFORM next_changes(link.kennel_id, 0) WHERE link.id IS NOT NULL;
    DELETE FROM buyer_reports r
    WHERE r.kennel_id = link.kennel_id AND r.link_id = link.id AND r.id = report AND r.status = 'waiting';
    IF NOT FOUND THEN
        RETURN false;
    END IF;
    PERFORM forget_reports(link.kennel_id, ARRAY[report]);
    RETURN true;
END $$;
