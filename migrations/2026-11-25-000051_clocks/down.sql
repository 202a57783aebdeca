CREATE OR REPLACE FUNCTION claim_webhook_deliveries(most integer, lease_seconds integer)
RETURNS TABLE (kennel_id uuid, id uuid, url text, secret bytea, attempts integer, event text, at timestamptz, content jsonb)
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH due AS (
        SELECT d.kennel_id, d.id FROM webhook_deliveries d
        WHERE d.status = 'waiting' AND d.next_at <= now()
        ORDER BY d.next_at LIMIT most FOR UPDATE SKIP LOCKED
    ), claimed AS (
        UPDATE webhook_deliveries d
        SET attempts = d.attempts + 1, next_at = now() + interval '1 second' * lease_seconds
        FROM due WHERE d.kennel_id = due.kennel_id AND d.id = due.id
        RETURNING d.kennel_id, d.id, d.webhook_id, d.sequence, d.event, d.attempts
    )
    SELECT c.kennel_id, c.id, w.url, w.secret, c.attempts, c.event, h.at, to_jsonb(h) - 'dog_ids'
    FROM claimed c
    JOIN webhooks w ON w.kennel_id = c.kennel_id AND w.id = c.webhook_id
    JOIN changes h ON h.kennel_id = c.kennel_id AND h.sequence = c.sequence
$$;
