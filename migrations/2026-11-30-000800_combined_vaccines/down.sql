DROP INDEX health_events_by_batch;
ALTER TABLE health_events DROP COLUMN also_series, DROP COLUMN result, DROP COLUMN protective;
