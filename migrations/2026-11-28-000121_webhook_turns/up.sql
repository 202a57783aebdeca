-- Webhooks in turns by kennel: one that is slow waits for itself alone. A queue has bounds, a webhook that
-- fails for days is switched off, and a kennel has at most 20.

ALTER TABLE webhook_deliveries
    -- In flight until then, at the latest.
    ADD COLUMN leased_until timestamptz,
    -- When it began to wait: when its change happened, or when somebody sent it again.
    ADD COLUMN queued_at timestamptz NOT NULL DEFAULT now();
ALTER TABLE webhook_deliveries DROP CONSTRAINT webhook_deliveries_status_check;
ALTER TABLE webhook_deliveries ADD CONSTRAINT webhook_deliveries_status_check
    CHECK (status IN ('waiting', 'delivered', 'dead', 'dropped'));
GRANT UPDATE (leased_until, queued_at) ON webhook_deliveries TO denwright_service;
DROP INDEX webhook_deliveries_due;
CREATE INDEX webhook_deliveries_due ON webhook_deliveries (kennel_id, next_at) WHERE status = 'waiting';
CREATE INDEX webhook_deliveries_queue ON webhook_deliveries (kennel_id, webhook_id, sequence) WHERE status = 'waiting';

-- How a webhook does. Not logged, since it changes with each try.
CREATE TABLE webhook_standing (
    kennel_id       uuid NOT NULL,
    webhook_id      uuid NOT NULL,
    -- Its last try failed or took long: it waits in the lane of slow ones.
    slow            boolean NOT NULL,
    -- Failed tries since the last good one, and since when.
    failures        integer NOT NULL,
    failing_since   timestamptz,
    switched_off_at timestamptz,
    PRIMARY KEY (kennel_id, webhook_id),
    FOREIGN KEY (kennel_id, webhook_id) REFERENCES webhooks ON DELETE CASCADE
);
ALTER TABLE webhook_standing ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON webhook_standing USING (kennel_id = current_kennel() AND sees_all());
GRANT SELECT ON webhook_standing TO denwright_service;

\ir ../functions/webhooks.sql

CREATE TRIGGER begin_anew AFTER UPDATE OF active, url ON webhooks FOR EACH ROW
    WHEN (NEW.active AND (NOT OLD.active OR NEW.url <> OLD.url)) EXECUTE FUNCTION begin_webhook_anew();
CREATE TRIGGER at_most AFTER INSERT ON webhooks REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION limit_webhooks();

DROP FUNCTION IF EXISTS claim_webhook_deliveries(integer, integer),
    finish_webhook_delivery(uuid, uuid, boolean, integer, text, double precision);
