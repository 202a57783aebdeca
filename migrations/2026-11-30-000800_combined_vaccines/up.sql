-- One product may be a dose of several series, and a test of antibodies may stand for a dose.
ALTER TABLE health_events
    ADD COLUMN also_series jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(also_series) = 'array'),
    ADD COLUMN result text CHECK (result IN ('negative', 'positive', 'unclear')),
    ADD COLUMN protective boolean CHECK (protective IS NULL OR (kind = 'test' AND series IS NOT NULL));
-- A batch that is called back is looked for among all that has one.
CREATE INDEX health_events_by_batch ON health_events (kennel_id, batch) WHERE batch IS NOT NULL;
