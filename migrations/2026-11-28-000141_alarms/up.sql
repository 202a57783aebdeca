-- What calls for a person's attention: looks at pups, how much of a discharge, and who has seen an alarm.

ALTER TABLE dam_checks ADD COLUMN discharge_amount text CHECK (discharge_amount IN ('spotting', 'more'));

CREATE TABLE pup_checks (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    checked_at timestamptz NOT NULL,
    signs      jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(signs) = 'array'),
    nurses     boolean,
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT pup_checks_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs
);
CREATE INDEX pup_checks_of_dog ON pup_checks (kennel_id, dog_id, checked_at);
SELECT kennel_table('pup_checks', 'pup_check', '(SELECT sees_all()) OR dog_id IN (SELECT my_dogs())');

-- An alarm is no row: its id follows from its cause. That it was seen is one, and so stands in the log of changes.
CREATE TABLE alarms_seen (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    alarm_id   uuid NOT NULL,
    code       text NOT NULL CHECK (length(code) BETWEEN 3 AND 100),
    level      text NOT NULL CHECK (level IN ('note', 'act', 'emergency')),
    litter_id  uuid,
    dog_id     uuid,
    seen_at    timestamptz NOT NULL,
    person_id  uuid NOT NULL,
    note       text CHECK (length(note) BETWEEN 1 AND 2000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT alarms_seen_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters ON DELETE CASCADE,
    CONSTRAINT alarms_seen_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE
);
CREATE INDEX alarms_seen_of_alarm ON alarms_seen (kennel_id, alarm_id, seen_at);
CREATE INDEX alarms_seen_of_litter ON alarms_seen (kennel_id, litter_id) WHERE litter_id IS NOT NULL;
CREATE INDEX alarms_seen_of_dog ON alarms_seen (kennel_id, dog_id) WHERE dog_id IS NOT NULL;
SELECT kennel_table('alarms_seen', 'alarm_seen',
    '(SELECT sees_all()) OR dog_id IN (SELECT my_dogs()) OR (dog_id IS NULL AND litter_id IN (SELECT id FROM litters))');

INSERT INTO log_words (word, needs, wide) VALUES ('pup_check', 'dogs', false), ('alarm_seen', 'dogs', false);
SELECT guard_references('pup_checks');
SELECT guard_references('alarms_seen');
