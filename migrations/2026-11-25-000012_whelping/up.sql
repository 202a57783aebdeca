-- The night and the weeks after it: the log of a whelping, the dam's checks, hand feeding.

-- A row of a litter is logged with the dam, so that her co-owners see it in the log of changes.
CREATE FUNCTION take_dam() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    SELECT dam_id INTO NEW.dam_id FROM litters WHERE kennel_id = NEW.kennel_id AND id = NEW.litter_id;
    RETURN NEW;
END $$;

CREATE TABLE whelping_lines (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    litter_id  uuid NOT NULL,
    dam_id     uuid,
    at         timestamptz NOT NULL,
    -- {"kind": …} and what belongs to that kind.
    event      jsonb NOT NULL CHECK (jsonb_typeof(event) = 'object' AND event ? 'kind'),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT whelping_lines_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters
);
CREATE INDEX whelping_lines_of_litter ON whelping_lines (kennel_id, litter_id, at);
CREATE TRIGGER take_dam BEFORE INSERT OR UPDATE ON whelping_lines FOR EACH ROW EXECUTE FUNCTION take_dam();
SELECT kennel_table('whelping_lines', 'whelping_line', 'sees_all() OR litter_id IN (SELECT id FROM litters)');

CREATE TABLE dam_checks (
    kennel_id     uuid NOT NULL,
    id            uuid NOT NULL,
    litter_id     uuid NOT NULL,
    dam_id        uuid,
    checked_at    timestamptz NOT NULL,
    temperature_c double precision CHECK (temperature_c BETWEEN 30 AND 44),
    discharge     text CHECK (discharge IN ('clear', 'green_black', 'red_brown', 'bright_red', 'foul')),
    eats          boolean,
    glands        text CHECK (glands IN ('normal', 'engorged', 'hot_painful_hard', 'bad_milk')),
    signs         jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(signs) = 'array'),
    pups_cry      boolean,
    note          text CHECK (length(note) <= 10000),
    version       bigint NOT NULL DEFAULT 1,
    created_at    timestamptz NOT NULL DEFAULT now(),
    updated_at    timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT dam_checks_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters
);
CREATE INDEX dam_checks_of_litter ON dam_checks (kennel_id, litter_id, checked_at);
CREATE TRIGGER take_dam BEFORE INSERT OR UPDATE ON dam_checks FOR EACH ROW EXECUTE FUNCTION take_dam();
SELECT kennel_table('dam_checks', 'dam_check', 'sees_all() OR litter_id IN (SELECT id FROM litters)');

CREATE TABLE feeds (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    fed_at     timestamptz NOT NULL,
    volume_ml  double precision NOT NULL CHECK (volume_ml > 0 AND volume_ml <= 1000),
    food       text CHECK (length(food) BETWEEN 1 AND 200),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT feeds_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs
);
CREATE INDEX feeds_of_dog ON feeds (kennel_id, dog_id, fed_at);
SELECT kennel_table('feeds', 'feed', 'sees_all() OR dog_id IN (SELECT my_dogs())');

-- How a newborn was: the five signs, when they were looked at, and how long it was helped to breathe.
ALTER TABLE births
    ADD COLUMN vitality jsonb CHECK (jsonb_typeof(vitality) = 'object'),
    ADD COLUMN vitality_minutes integer CHECK (vitality_minutes BETWEEN 0 AND 1440),
    ADD COLUMN resuscitation_minutes integer CHECK (resuscitation_minutes BETWEEN 0 AND 240);

-- What a dog died of, as found or thought.
ALTER TABLE dogs ADD COLUMN died_of text CHECK (length(died_of) BETWEEN 1 AND 500);
