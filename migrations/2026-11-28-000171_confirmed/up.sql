-- A likely slip is asked about before it counts; whoever means it says so, and is not asked again.
ALTER TABLE litters ADD COLUMN confirmed boolean NOT NULL DEFAULT false;
ALTER TABLE births ADD COLUMN confirmed boolean NOT NULL DEFAULT false;
ALTER TABLE heats ADD COLUMN confirmed boolean NOT NULL DEFAULT false;
ALTER TABLE heat_readings ADD COLUMN confirmed boolean NOT NULL DEFAULT false;
ALTER TABLE health_events ADD COLUMN confirmed boolean NOT NULL DEFAULT false;
ALTER TABLE feeds ADD COLUMN confirmed boolean NOT NULL DEFAULT false;
ALTER TABLE papers ADD COLUMN confirmed boolean NOT NULL DEFAULT false;
