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
