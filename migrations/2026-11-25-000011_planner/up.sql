-- Planning: whelping places, people away, stock, the kennel's own preparation, what people did
-- about tasks, and secret links to the calendar.

-- The due day that a vet told at a check.
ALTER TABLE pregnancy_checks ADD COLUMN due_on date;
ALTER TABLE pregnancy_checks ADD CONSTRAINT pregnancy_checks_due CHECK (due_on >= (checked_at AT TIME ZONE 'UTC')::date - 1);

CREATE TABLE places (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    name       text NOT NULL CHECK (length(name) BETWEEN 1 AND 100),
    kind       text NOT NULL CHECK (kind IN ('whelping_room', 'pen', 'run', 'other')),
    capacity   integer NOT NULL CHECK (capacity BETWEEN 1 AND 50),
    -- [{"from": day, "to": day}]: when it cannot be used.
    closed     jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(closed) = 'array'),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT places_name_taken UNIQUE (kennel_id, name)
);
SELECT kennel_table('places', 'place', 'true');

CREATE TABLE absences (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    person_id  uuid NOT NULL,
    from_on    date NOT NULL,
    to_on      date NOT NULL,
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT absences_person FOREIGN KEY (kennel_id, person_id) REFERENCES memberships (kennel_id, person_id) ON DELETE CASCADE,
    CONSTRAINT absences_in_order CHECK (to_on >= from_on)
);
CREATE INDEX absences_of_person ON absences (kennel_id, person_id);
SELECT kennel_table('absences', 'absence', 'true');

CREATE TABLE supplies (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    key        text NOT NULL CHECK (key ~ '^[a-z0-9_]{1,100}$'),
    on_hand    double precision NOT NULL CHECK (on_hand >= 0 AND on_hand <= 1000000),
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT supplies_key_taken UNIQUE (kennel_id, key)
);
SELECT kennel_table('supplies', 'supply', 'true');

-- One a kennel: what it does differently from the default preparation.
CREATE TABLE preparation_templates (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    tasks      jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(tasks) = 'array'),
    supplies   jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(supplies) = 'array'),
    without    jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(without) = 'array'),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT preparation_templates_one UNIQUE (kennel_id)
);
SELECT kennel_table('preparation_templates', 'preparation_template', 'true');

-- One a kennel: which body's limits on breeding it keeps.
CREATE TABLE planner_settings (
    kennel_id      uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id             uuid NOT NULL,
    breeding_rules text NOT NULL CHECK (length(breeding_rules) BETWEEN 1 AND 100),
    version        bigint NOT NULL DEFAULT 1,
    created_at     timestamptz NOT NULL DEFAULT now(),
    updated_at     timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT planner_settings_one UNIQUE (kennel_id)
);
SELECT kennel_table('planner_settings', 'planner_settings', 'true');

CREATE TABLE own_tasks (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    title      text NOT NULL CHECK (length(title) BETWEEN 1 AND 200),
    from_on    date,
    due_on     date NOT NULL,
    litter_id  uuid,
    dog_id     uuid,
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT own_tasks_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters ON DELETE CASCADE,
    CONSTRAINT own_tasks_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE,
    CONSTRAINT own_tasks_in_order CHECK (due_on >= from_on)
);
CREATE INDEX own_tasks_due ON own_tasks (kennel_id, due_on);
SELECT kennel_table('own_tasks', 'own_task',
    'sees_all() OR ((litter_id IS NULL OR litter_id IN (SELECT id FROM litters)) AND (dog_id IS NULL OR dog_id IN (SELECT my_dogs())))');

-- What people did about tasks that are made anew each time, under the tasks' keys.
CREATE TABLE task_marks (
    kennel_id     uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id            uuid NOT NULL,
    key           text NOT NULL CHECK (length(key) BETWEEN 1 AND 300),
    litter_id     uuid,
    dog_id        uuid,
    assignee_id   uuid,
    done_at       timestamptz,
    done_by       uuid,
    snoozed_until date,
    snooze_reason text CHECK (length(snooze_reason) BETWEEN 1 AND 500),
    version       bigint NOT NULL DEFAULT 1,
    created_at    timestamptz NOT NULL DEFAULT now(),
    updated_at    timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT task_marks_key_taken UNIQUE (kennel_id, key),
    CONSTRAINT task_marks_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters ON DELETE CASCADE,
    CONSTRAINT task_marks_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE
);
SELECT kennel_table('task_marks', 'task_mark',
    'sees_all() OR ((litter_id IS NULL OR litter_id IN (SELECT id FROM litters)) AND (dog_id IS NULL OR dog_id IN (SELECT my_dogs())))');

-- Secret addresses of the calendar; each shows what its person may see.
CREATE TABLE calendar_links (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    person_id  uuid NOT NULL REFERENCES people ON DELETE CASCADE,
    name       text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    token_hash bytea NOT NULL UNIQUE,
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id)
);
CREATE INDEX calendar_links_of_person ON calendar_links (person_id);
SELECT kennel_table('calendar_links', 'calendar_link', 'person_id = current_person() OR sees_all()');
