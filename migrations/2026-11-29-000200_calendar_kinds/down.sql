ALTER TABLE calendar_links DROP COLUMN kinds, DROP COLUMN alarms;
