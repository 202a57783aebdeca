-- What is weighed, measured and given, day by day.

CREATE TABLE weights (
    kennel_id   uuid NOT NULL,
    id          uuid NOT NULL,
    dog_id      uuid NOT NULL,
    measured_at timestamptz NOT NULL,
    weight_g    integer NOT NULL CHECK (weight_g BETWEEN 20 AND 150000),
    confirmed   boolean NOT NULL DEFAULT false,
    note        text CHECK (length(note) <= 10000),
    version     bigint NOT NULL DEFAULT 1,
    created_at  timestamptz NOT NULL DEFAULT now(),
    updated_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT weights_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs
);
CREATE INDEX weights_of_dog ON weights (kennel_id, dog_id, measured_at);
SELECT kennel_table('weights', 'weight', 'sees_all() OR dog_id IN (SELECT my_dogs())');

CREATE TABLE temperatures (
    kennel_id     uuid NOT NULL,
    id            uuid NOT NULL,
    dog_id        uuid NOT NULL,
    measured_at   timestamptz NOT NULL,
    temperature_c double precision NOT NULL CHECK (temperature_c BETWEEN 25 AND 45),
    note          text CHECK (length(note) <= 10000),
    version       bigint NOT NULL DEFAULT 1,
    created_at    timestamptz NOT NULL DEFAULT now(),
    updated_at    timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT temperatures_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs
);
CREATE INDEX temperatures_of_dog ON temperatures (kennel_id, dog_id, measured_at);
SELECT kennel_table('temperatures', 'temperature', 'sees_all() OR dog_id IN (SELECT my_dogs())');

CREATE TABLE health_plans (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    name       text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    steps      jsonb NOT NULL CHECK (jsonb_typeof(steps) = 'array'),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT health_plans_name_taken UNIQUE (kennel_id, name)
);
SELECT kennel_table('health_plans', 'health_plan', 'true');

CREATE TABLE health_events (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    kind       text NOT NULL CHECK (kind IN ('worming', 'vaccination', 'microchip', 'examination', 'test', 'illness', 'treatment', 'other')),
    given_at   timestamptz NOT NULL,
    product    text CHECK (length(product) BETWEEN 1 AND 200),
    batch      text CHECK (length(batch) BETWEEN 1 AND 100),
    expires_on date,
    given_by   text CHECK (length(given_by) BETWEEN 1 AND 200),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT health_events_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs
);
CREATE INDEX health_events_of_dog ON health_events (kennel_id, dog_id, given_at);
SELECT kennel_table('health_events', 'health_event', 'sees_all() OR dog_id IN (SELECT my_dogs())');
