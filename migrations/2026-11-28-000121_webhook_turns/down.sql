DROP TRIGGER at_most ON webhooks;
DROP FUNCTION limit_webhooks();
DROP TRIGGER begin_anew ON webhooks;
DROP FUNCTION begin_webhook_anew();
DROP TRIGGER tell_webhooks ON changes;
DROP FUNCTION tell_webhooks();
DROP FUNCTION clear_webhook_deliveries();
DROP FUNCTION finish_webhook_delivery(uuid, uuid, boolean, boolean, integer, text, double precision, double precision);
DROP FUNCTION claim_webhook_deliveries(integer, integer, uuid, integer);
DROP TABLE webhook_standing;
DROP INDEX webhook_deliveries_queue;
DROP INDEX webhook_deliveries_due;
CREATE INDEX webhook_deliveries_due ON webhook_deliveries (next_at) WHERE status = 'waiting';
UPDATE webhook_deliveries SET status = 'dead' WHERE status = 'dropped';
ALTER TABLE webhook_deliveries DROP CONSTRAINT webhook_deliveries_status_check;
ALTER TABLE webhook_deliveries ADD CONSTRAINT webhook_deliveries_status_check
    CHECK (status IN ('waiting', 'delivered', 'dead'));
ALTER TABLE webhook_deliveries DROP COLUMN leased_until, DROP COLUMN queued_at;
