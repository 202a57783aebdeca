ALTER TABLE papers DROP COLUMN confirmed;
ALTER TABLE feeds DROP COLUMN confirmed;
ALTER TABLE health_events DROP COLUMN confirmed;
ALTER TABLE heat_readings DROP COLUMN confirmed;
ALTER TABLE heats DROP COLUMN confirmed;
ALTER TABLE births DROP COLUMN confirmed;
ALTER TABLE litters DROP COLUMN confirmed;
