DROP TABLE alarms_seen;
DROP TABLE pup_checks;
DELETE FROM log_words WHERE word IN ('pup_check', 'alarm_seen');
ALTER TABLE dam_checks DROP COLUMN discharge_amount;
