-- Heartbeats, resorptions and losses seen at a check.
ALTER TABLE pregnancy_checks
    DROP CONSTRAINT pregnancy_checks_result_check,
    ADD CONSTRAINT pregnancy_checks_result_check CHECK (result IN ('pregnant', 'not_pregnant', 'unclear', 'lost')),
    ADD COLUMN heartbeats integer CHECK (heartbeats BETWEEN 0 AND 30),
    ADD COLUMN resorptions integer CHECK (resorptions BETWEEN 0 AND 30),
    ADD COLUMN lost_how text CHECK (lost_how IN ('resorbed', 'aborted', 'unknown'));
