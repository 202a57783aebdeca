-- What was lost was no pregnancy any more.
UPDATE pregnancy_checks SET result = 'not_pregnant' WHERE result = 'lost';
ALTER TABLE pregnancy_checks
    DROP CONSTRAINT pregnancy_checks_result_check,
    ADD CONSTRAINT pregnancy_checks_result_check CHECK (result IN ('pregnant', 'not_pregnant', 'unclear')),
    DROP COLUMN heartbeats, DROP COLUMN resorptions, DROP COLUMN lost_how;
