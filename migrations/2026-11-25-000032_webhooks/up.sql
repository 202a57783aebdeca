-- Webhooks: who is told of changes, and what became of it; and rows that come back from the log.

-- The secret signs what is sent; it is kept, since signing needs it, and shown once.
CREATE TABLE webhooks (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    url        text NOT NULL CHECK (length(url) BETWEEN 1 AND 500),
    events     jsonb NOT NULL DEFAULT '[]',
    active     boolean NOT NULL DEFAULT true,
    note       text CHECK (length(note) <= 2000),
    -- Two random UUIDs: 244 random bits.
    secret     bytea NOT NULL DEFAULT decode(replace(gen_random_uuid()::text || gen_random_uuid()::text, '-', ''), 'hex'),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id)
);

CREATE OR REPLACE FUNCTION logged(content jsonb) RETURNS jsonb LANGUAGE sql IMMUTABLE AS $$
    SELECT content - '{kennel_id,token_hash,secret,dog_sex,dam_sex,sire_sex}'::text[]
$$;
SELECT kennel_table('webhooks', 'webhook', 'sees_all()');

-- An address may hold a key of the receiver.
DROP POLICY of_kennel ON changes;
CREATE POLICY of_kennel ON changes USING (
    kennel_id = current_kennel()
    AND (sees_all() OR dog_ids && ARRAY(SELECT my_dogs()))
    AND (sees_money() OR what NOT IN ('buyer', 'payment', 'placement', 'invitation', 'access_token', 'webhook'))
);

-- One row a change and webhook, written with the change itself, so that none is lost or told twice
-- over. Not logged: that would be a change again.
CREATE TABLE webhook_deliveries (
    kennel_id    uuid NOT NULL,
    id           uuid NOT NULL,
    webhook_id   uuid NOT NULL,
    sequence     bigint NOT NULL,
    event        text NOT NULL,
    status       text NOT NULL DEFAULT 'waiting' CHECK (status IN ('waiting', 'delivered', 'dead')),
    attempts     integer NOT NULL DEFAULT 0,
    next_at      timestamptz NOT NULL DEFAULT now(),
    last_status  integer,
    last_error   text,
    delivered_at timestamptz,
    created_at   timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    FOREIGN KEY (kennel_id, webhook_id) REFERENCES webhooks ON DELETE CASCADE
);
CREATE UNIQUE INDEX webhook_deliveries_of_webhook ON webhook_deliveries (kennel_id, webhook_id, sequence);
CREATE INDEX webhook_deliveries_due ON webhook_deliveries (next_at) WHERE status = 'waiting';
CREATE INDEX webhook_deliveries_age ON webhook_deliveries (created_at) WHERE status <> 'waiting';
ALTER TABLE webhook_deliveries ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON webhook_deliveries USING (kennel_id = current_kennel() AND sees_all());
GRANT SELECT ON webhook_deliveries TO denwright_service;
GRANT UPDATE (status, attempts, next_at) ON webhook_deliveries TO denwright_service;

CREATE FUNCTION tell_webhooks() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO webhook_deliveries (kennel_id, id, webhook_id, sequence, event)
    SELECT n.kennel_id, gen_random_uuid(), w.id, n.sequence, n.what || '.' || n.action
    FROM new_rows n JOIN webhooks w ON w.kennel_id = n.kennel_id AND w.active
    WHERE w.events = '[]' OR w.events ? n.what OR w.events ? (n.what || '.' || n.action);
    RETURN NULL;
END $$;
CREATE TRIGGER tell_webhooks AFTER INSERT ON changes REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION tell_webhooks();

-- The worker serves all kennels: it reaches them through these alone. A claimed delivery comes due
-- again when its worker does not say in time what became of it.
CREATE FUNCTION claim_webhook_deliveries(most integer, lease_seconds integer)
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
-- `wait_seconds` null ends the tries.
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
CREATE FUNCTION clear_webhook_deliveries() RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    DELETE FROM webhook_deliveries WHERE status = 'delivered' AND created_at < now() - interval '30 days';
    DELETE FROM webhook_deliveries WHERE status = 'dead' AND created_at < now() - interval '180 days'
$$;
REVOKE ALL ON FUNCTION claim_webhook_deliveries(integer, integer),
    finish_webhook_delivery(uuid, uuid, boolean, integer, text, double precision), clear_webhook_deliveries() FROM PUBLIC;
GRANT EXECUTE ON FUNCTION claim_webhook_deliveries(integer, integer),
    finish_webhook_delivery(uuid, uuid, boolean, integer, text, double precision), clear_webhook_deliveries() TO denwright_service;

-- What the log calls rows, so that a webhook is not set for words that never come.
CREATE FUNCTION logged_words() RETURNS SETOF text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT DISTINCT convert_from(btrim(tgargs, '\x00'), 'UTF8') FROM pg_trigger WHERE tgname = 'log_created'
$$;

-- A row that is restored after its deletion goes on counting its versions where it stopped: who has
-- seen an early one must not overwrite it.
CREATE FUNCTION first_version() RETURNS bigint LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT coalesce(nullif(current_setting('denwright.first_version', true), '')::bigint, 1) $$;
DO $$
DECLARE name text;
BEGIN
    FOR name IN SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname = 'next_version' LOOP
        EXECUTE format('ALTER TABLE %s ALTER COLUMN version SET DEFAULT first_version()', name);
    END LOOP;
END $$;
CREATE OR REPLACE FUNCTION kennel_table(name text, what text, visible text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    EXECUTE format('ALTER TABLE %I ALTER COLUMN version SET DEFAULT first_version()', name);
    EXECUTE format('CREATE TRIGGER next_version BEFORE UPDATE ON %I FOR EACH ROW EXECUTE FUNCTION next_version()', name);
    EXECUTE format('CREATE TRIGGER log_created AFTER INSERT ON %I REFERENCING NEW TABLE AS new_rows
        FOR EACH STATEMENT EXECUTE FUNCTION log_created(%L)', name, what);
    EXECUTE format('CREATE TRIGGER log_changed AFTER UPDATE ON %I REFERENCING OLD TABLE AS old_rows NEW TABLE AS new_rows
        FOR EACH STATEMENT EXECUTE FUNCTION log_changed(%L)', name, what);
    EXECUTE format('CREATE TRIGGER log_deleted AFTER DELETE ON %I REFERENCING OLD TABLE AS old_rows
        FOR EACH STATEMENT EXECUTE FUNCTION log_deleted(%L)', name, what);
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', name);
    EXECUTE format('CREATE POLICY of_kennel ON %I USING (kennel_id = current_kennel() AND (%s))', name, visible);
    EXECUTE format('GRANT SELECT, INSERT, UPDATE, DELETE ON %I TO denwright_service', name);
END $$;
