DROP FUNCTION forget_buyer(uuid);
CREATE FUNCTION forget_buyer(buyer uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    personal CONSTANT text[] := '{name,email,phone,address,household,screening,note,wishes,terms}';
    touched uuid[];
BEGIN
    SELECT array_agg(id) INTO touched FROM (
        SELECT buyer AS id
        UNION SELECT p.id FROM placements p WHERE p.kennel_id = current_kennel() AND p.buyer_id = buyer
        UNION SELECT e.id FROM payments e JOIN placements p ON p.kennel_id = e.kennel_id AND p.id = e.placement_id
            WHERE p.kennel_id = current_kennel() AND p.buyer_id = buyer
        UNION SELECT f.id FROM follow_ups f JOIN placements p ON p.kennel_id = f.kennel_id AND p.id = f.placement_id
            WHERE p.kennel_id = current_kennel() AND p.buyer_id = buyer) AS rows;
    UPDATE changes SET before = before - personal, after = after - personal
    WHERE kennel_id = current_kennel() AND row_id = ANY (touched) AND what IN ('buyer', 'placement', 'payment', 'follow_up');
    UPDATE changes SET before = before - 'buyer_id', after = after - 'buyer_id'
    WHERE kennel_id = current_kennel() AND what = 'health_event' AND buyer::text IN (before->>'buyer_id', after->>'buyer_id');
    DELETE FROM idempotency_keys WHERE body->>'id' = ANY (SELECT id::text FROM unnest(touched) AS id);
END $$;
DROP FUNCTION traces_pattern(text[]);
DROP FUNCTION without_traces(text, text, text);
