-- Heat, mating, pregnancy, litter, birth.

CREATE TABLE heats (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    dog_sex    text NOT NULL GENERATED ALWAYS AS ('female') STORED,
    began_on   date NOT NULL,
    ended_on   date,
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT heats_dog FOREIGN KEY (kennel_id, dog_id, dog_sex) REFERENCES dogs (kennel_id, id, sex),
    CONSTRAINT heats_began_taken UNIQUE (kennel_id, dog_id, began_on),
    -- A mating may name only a heat of its own dam.
    CONSTRAINT heats_with_dog UNIQUE (kennel_id, id, dog_id),
    CONSTRAINT heats_in_order CHECK (ended_on >= began_on)
);
SELECT kennel_table('heats', 'heat', 'sees_all() OR dog_id IN (SELECT my_dogs())');

CREATE TABLE heat_readings (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    heat_id    uuid NOT NULL,
    kind       text NOT NULL CHECK (kind IN ('progesterone', 'lh', 'cytology', 'sign')),
    taken_at   timestamptz NOT NULL,
    value      double precision CHECK (value >= 0 AND value <= 1000),
    unit       text CHECK (unit IN ('ng_per_ml', 'nmol_per_l', 'cornified_fraction')),
    finding    text CHECK (length(finding) BETWEEN 1 AND 200),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT heat_readings_heat FOREIGN KEY (kennel_id, heat_id) REFERENCES heats ON DELETE CASCADE
);
CREATE INDEX heat_readings_of_heat ON heat_readings (kennel_id, heat_id, taken_at);
SELECT kennel_table('heat_readings', 'heat_reading', 'sees_all() OR heat_id IN (SELECT id FROM heats)');

CREATE TABLE matings (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dam_id     uuid NOT NULL,
    sire_id    uuid NOT NULL,
    dam_sex    text NOT NULL GENERATED ALWAYS AS ('female') STORED,
    sire_sex   text NOT NULL GENERATED ALWAYS AS ('male') STORED,
    heat_id    uuid,
    status     text NOT NULL CHECK (status IN ('planned', 'done', 'called_off')),
    method     text NOT NULL CHECK (method IN ('natural', 'fresh', 'chilled', 'frozen')),
    planned_on date,
    -- [{"at": time}]: the ties seen, or the inseminations.
    ties       jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(ties) = 'array'),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT matings_pair UNIQUE (kennel_id, id, dam_id),
    CONSTRAINT matings_dam FOREIGN KEY (kennel_id, dam_id, dam_sex) REFERENCES dogs (kennel_id, id, sex),
    CONSTRAINT matings_sire FOREIGN KEY (kennel_id, sire_id, sire_sex) REFERENCES dogs (kennel_id, id, sex),
    CONSTRAINT matings_heat FOREIGN KEY (kennel_id, heat_id, dam_id) REFERENCES heats (kennel_id, id, dog_id)
);
CREATE INDEX matings_of_dam ON matings (kennel_id, dam_id);
CREATE INDEX matings_of_sire ON matings (kennel_id, sire_id);
CREATE INDEX matings_of_heat ON matings (kennel_id, heat_id);
SELECT kennel_table('matings', 'mating', 'sees_all() OR dam_id IN (SELECT my_dogs()) OR sire_id IN (SELECT my_dogs())');

CREATE TABLE pregnancy_checks (
    kennel_id      uuid NOT NULL,
    id             uuid NOT NULL,
    mating_id      uuid NOT NULL,
    checked_at     timestamptz NOT NULL,
    method         text NOT NULL CHECK (method IN ('palpation', 'ultrasound', 'xray', 'hormone')),
    result         text NOT NULL CHECK (result IN ('pregnant', 'not_pregnant', 'unclear')),
    count_at_least integer CHECK (count_at_least BETWEEN 0 AND 30),
    count_at_most  integer CHECK (count_at_most BETWEEN 0 AND 30),
    measures       jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(measures) = 'array'),
    note           text CHECK (length(note) <= 10000),
    version        bigint NOT NULL DEFAULT 1,
    created_at     timestamptz NOT NULL DEFAULT now(),
    updated_at     timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT pregnancy_checks_mating FOREIGN KEY (kennel_id, mating_id) REFERENCES matings ON DELETE CASCADE,
    CONSTRAINT pregnancy_checks_counts CHECK (count_at_most >= count_at_least)
);
CREATE INDEX pregnancy_checks_of_mating ON pregnancy_checks (kennel_id, mating_id, checked_at);
SELECT kennel_table('pregnancy_checks', 'pregnancy_check', 'sees_all() OR mating_id IN (SELECT id FROM matings)');

CREATE TABLE litters (
    kennel_id   uuid NOT NULL,
    id          uuid NOT NULL,
    dam_id      uuid NOT NULL,
    sire_id     uuid,
    dam_sex     text NOT NULL GENERATED ALWAYS AS ('female') STORED,
    sire_sex    text NOT NULL GENERATED ALWAYS AS ('male') STORED,
    mating_id   uuid,
    name        text CHECK (length(name) BETWEEN 1 AND 100),
    whelped_on  date,
    weaned_on   date,
    note        text CHECK (length(note) <= 10000),
    version     bigint NOT NULL DEFAULT 1,
    created_at  timestamptz NOT NULL DEFAULT now(),
    updated_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT litters_dam FOREIGN KEY (kennel_id, dam_id, dam_sex) REFERENCES dogs (kennel_id, id, sex),
    CONSTRAINT litters_sire FOREIGN KEY (kennel_id, sire_id, sire_sex) REFERENCES dogs (kennel_id, id, sex),
    CONSTRAINT litters_mating FOREIGN KEY (kennel_id, mating_id, dam_id) REFERENCES matings (kennel_id, id, dam_id),
    CONSTRAINT litters_mating_taken UNIQUE (kennel_id, mating_id),
    CONSTRAINT litters_in_order CHECK (weaned_on > whelped_on)
);
CREATE INDEX litters_of_dam ON litters (kennel_id, dam_id);
CREATE INDEX litters_of_sire ON litters (kennel_id, sire_id);
SELECT kennel_table('litters', 'litter', 'sees_all() OR dam_id IN (SELECT my_dogs()) OR sire_id IN (SELECT my_dogs())');

CREATE TABLE births (
    kennel_id    uuid NOT NULL,
    id           uuid NOT NULL,
    litter_id    uuid NOT NULL,
    dog_id       uuid NOT NULL,
    ordinal      integer NOT NULL CHECK (ordinal BETWEEN 1 AND 30),
    born_at      timestamptz NOT NULL,
    presentation text NOT NULL CHECK (presentation IN ('head_first', 'tail_first', 'unknown')),
    outcome      text NOT NULL CHECK (outcome IN ('alive', 'stillborn')),
    placenta     text NOT NULL CHECK (placenta IN ('passed', 'not_seen')),
    weight_g     integer CHECK (weight_g BETWEEN 20 AND 2000),
    collar       text CHECK (length(collar) BETWEEN 1 AND 50),
    note         text CHECK (length(note) <= 10000),
    version      bigint NOT NULL DEFAULT 1,
    created_at   timestamptz NOT NULL DEFAULT now(),
    updated_at   timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT births_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters,
    CONSTRAINT births_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs,
    CONSTRAINT births_dog_taken UNIQUE (kennel_id, dog_id),
    CONSTRAINT births_ordinal_taken UNIQUE (kennel_id, litter_id, ordinal)
);
SELECT kennel_table('births', 'birth', 'sees_all() OR litter_id IN (SELECT id FROM litters)');
