-- What a short list of tasks hangs on: plans of grown dogs, when a dog came, when stock was counted.

-- Plans of grown dogs stand beside those of pups and dams.
ALTER TABLE health_plans
    DROP CONSTRAINT health_plans_subject_check,
    ADD CONSTRAINT health_plans_subject_check CHECK (subject IN ('pup', 'dam', 'grown'));

-- What a dog that was not born here got before it came is not on record: it is asked about.
ALTER TABLE dogs ADD COLUMN came_on date;
-- What was used since stock was counted is taken off it.
ALTER TABLE supplies ADD COLUMN counted_on date;

-- The day of entry, as long as nobody says better; no client changed anything.
ALTER TABLE dogs DISABLE TRIGGER USER;
ALTER TABLE supplies DISABLE TRIGGER USER;
UPDATE dogs d SET came_on = (d.created_at AT TIME ZONE k.time_zone)::date
    FROM kennels k
    WHERE k.id = d.kennel_id AND d.residence = 'here'
        AND NOT EXISTS (SELECT FROM births b WHERE b.kennel_id = d.kennel_id AND b.dog_id = d.id);
UPDATE supplies s SET counted_on = (s.updated_at AT TIME ZONE k.time_zone)::date
    FROM kennels k WHERE k.id = s.kennel_id;
ALTER TABLE supplies ENABLE TRIGGER USER;
ALTER TABLE dogs ENABLE TRIGGER USER;
