DROP TRIGGER at_most ON webhooks;
DROP FUNCTION limit_webhooks();
DROP TRIGGER begin_anew ON webhooks;
DROP FUNCTION begin_webhook_anew();
DROP FUNCTION finish_webhook_delivery(uuid, uuid, boolean, boolean, integer, text, double precision, double precision);
DROP FUNCTION claim_webhook_deliveries(integer, integer, uuid, integer);
CREATE FUNCTION claim_webhook_deliveries(most integer, lease_seconds integer)
RETURNS TABLE (kennel_id uuid, id uuid, url text, secret bytea, attempts integer, event text, at timestamptz, content jsonb)
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH due AS (
        SELECT d.kennel_id, d.id FROM webhook_deliveries d
        WHERE d.status = 'waiting' AND (d.next_at <= now() OR d.next_at > now() + interval '2 days')
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
CREATE FUNCTION finish_webhook_delivery(kennel uuid, delivery uuid, good boolean, http_status integer, error text, wait_seconds double precision)
RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    UPDATE webhook_deliveries SET
        status = CASE WHEN good THEN 'delivered' WHEN wait_seconds IS NULL THEN 'dead' ELSE 'waiting' END,
        next_at = now() + interval '1 second' * coalesce(wait_seconds, 0),
        last_status = http_status, last_error = left(error, 500),
        delivered_at = CASE WHEN good THEN now() END
    WHERE kennel_id = kennel AND id = delivery
$$;
REVOKE ALL ON FUNCTION claim_webhook_deliveries(integer, integer),
    finish_webhook_delivery(uuid, uuid, boolean, integer, text, double precision) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION claim_webhook_deliveries(integer, integer),
    finish_webhook_delivery(uuid, uuid, boolean, integer, text, double precision) TO denwright_service;
CREATE OR REPLACE FUNCTION clear_webhook_deliveries() RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    DELETE FROM webhook_deliveries WHERE status = 'delivered' AND created_at < now() - interval '30 days';
    DELETE FROM webhook_deliveries WHERE status = 'dead' AND created_at < now() - interval '180 days'
$$;
CREATE OR REPLACE FUNCTION tell_webhooks() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO webhook_deliveries (kennel_id, id, webhook_id, sequence, event)
    SELECT n.kennel_id, gen_random_uuid(), w.id, n.sequence, n.what || '.' || n.action
    FROM new_rows n JOIN webhooks w ON w.kennel_id = n.kennel_id AND w.active
    WHERE w.events = '[]' OR w.events ? n.what OR w.events ? (n.what || '.' || n.action);
    RETURN NULL;
END $$;
DROP TABLE webhook_standing;
DROP INDEX webhook_deliveries_queue;
DROP INDEX webhook_deliveries_due;
CREATE INDEX webhook_deliveries_due ON webhook_deliveries (next_at) WHERE status = 'waiting';
UPDATE webhook_deliveries SET status = 'dead' WHERE status = 'dropped';
ALTER TABLE webhook_deliveries DROP CONSTRAINT webhook_deliveries_status_check;
ALTER TABLE webhook_deliveries ADD CONSTRAINT webhook_deliveries_status_check
    CHECK (status IN ('waiting', 'delivered', 'dead'));
ALTER TABLE webhook_deliveries DROP COLUMN leased_until, DROP COLUMN queued_at;
