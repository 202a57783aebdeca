-- Health plans and what is due, readiness to go home, accounts, follow-up, the pup's record.

ALTER TABLE litters ADD COLUMN place text CHECK (length(place) BETWEEN 1 AND 100);

-- Nothing wrote to health_plans before this migration.
ALTER TABLE health_plans
    DROP CONSTRAINT health_plans_name_taken,
    DROP COLUMN note,
    ADD COLUMN key        text NOT NULL CHECK (length(key) BETWEEN 1 AND 300),
    ADD COLUMN subject    text NOT NULL CHECK (subject IN ('pup', 'dam')),
    ADD COLUMN by_default boolean NOT NULL,
    ADD COLUMN instead_of text CHECK (length(instead_of) BETWEEN 1 AND 300),
    ADD COLUMN source     text NOT NULL CHECK (length(source) BETWEEN 1 AND 300),
    ADD CONSTRAINT health_plans_key_taken UNIQUE (kennel_id, key);
ALTER TABLE health_plans DROP CONSTRAINT health_plans_name_check;
ALTER TABLE health_plans ADD CONSTRAINT health_plans_name_check CHECK (length(name) BETWEEN 1 AND 300);

-- How each plan read from which day on: rows are only ever added, so that what was planned by an
-- earlier version stays as it was. No foreign key to the plan: a plan that is deleted has been in
-- force all the same; its last version is empty.
CREATE TABLE health_plan_versions (
    kennel_id     uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id            uuid NOT NULL,
    plan_key      text NOT NULL,
    number        integer NOT NULL CHECK (number >= 1),
    in_force_from date NOT NULL,
    plan          jsonb CHECK (jsonb_typeof(plan) = 'object'),
    version       bigint NOT NULL DEFAULT 1,
    created_at    timestamptz NOT NULL DEFAULT now(),
    updated_at    timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT health_plan_versions_number_taken UNIQUE (kennel_id, plan_key, number)
);
SELECT kennel_table('health_plan_versions', 'health_plan_version', 'true');
REVOKE UPDATE, DELETE ON health_plan_versions FROM denwright_service;

CREATE TABLE litter_plans (
    kennel_id    uuid NOT NULL,
    id           uuid NOT NULL,
    litter_id    uuid NOT NULL,
    plan_key     text NOT NULL CHECK (length(plan_key) BETWEEN 1 AND 300),
    plan_version integer,
    version      bigint NOT NULL DEFAULT 1,
    created_at   timestamptz NOT NULL DEFAULT now(),
    updated_at   timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT litter_plans_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters ON DELETE CASCADE,
    CONSTRAINT litter_plans_plan_taken UNIQUE (kennel_id, litter_id, plan_key)
);
SELECT kennel_table('litter_plans', 'litter_plan', 'sees_all() OR litter_id IN (SELECT id FROM litters)');

ALTER TABLE health_events
    ADD COLUMN series   text CHECK (length(series) BETWEEN 1 AND 60),
    ADD COLUMN step     text CHECK (length(step) BETWEEN 1 AND 60),
    ADD COLUMN site     text CHECK (length(site) BETWEEN 1 AND 200),
    ADD COLUMN reaction text CHECK (length(reaction) BETWEEN 1 AND 2000),
    ADD COLUMN buyer_id uuid,
    ADD CONSTRAINT health_events_buyer FOREIGN KEY (kennel_id, buyer_id) REFERENCES buyers;

-- What a pup needs before it leaves.
CREATE TABLE papers (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    paper      text NOT NULL CHECK (length(paper) BETWEEN 1 AND 100),
    done_on    date NOT NULL,
    note       text CHECK (length(note) <= 10000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT papers_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs,
    CONSTRAINT papers_paper_taken UNIQUE (kennel_id, dog_id, paper)
);
SELECT kennel_table('papers', 'paper', 'sees_all() OR dog_id IN (SELECT my_dogs())');

CREATE TABLE readiness_overrides (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    rule       text NOT NULL CHECK (length(rule) BETWEEN 1 AND 60),
    reason     text NOT NULL CHECK (length(reason) BETWEEN 10 AND 1000),
    by         text NOT NULL CHECK (length(by) BETWEEN 1 AND 200),
    "on"       date NOT NULL,
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT readiness_overrides_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs
);
CREATE INDEX readiness_overrides_of_dog ON readiness_overrides (kennel_id, dog_id);
SELECT kennel_table('readiness_overrides', 'readiness_override', 'sees_all() OR dog_id IN (SELECT my_dogs())');

-- What the kennel asks before a pup leaves, on top of its jurisdiction; one row a kennel.
CREATE TABLE readiness_rules (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    own        jsonb NOT NULL CHECK (jsonb_typeof(own) = 'object'),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT readiness_rules_one CHECK (id = kennel_id)
);
SELECT kennel_table('readiness_rules', 'readiness_rules', 'true');

ALTER TABLE buyers
    ADD COLUMN household            text CHECK (length(household) BETWEEN 1 AND 10000),
    ADD COLUMN screening            text CHECK (length(screening) BETWEEN 1 AND 10000),
    ADD COLUMN waiting_order        integer CHECK (waiting_order BETWEEN 1 AND 10000),
    ADD COLUMN consented_on         date,
    ADD COLUMN consent_withdrawn_on date,
    ADD COLUMN erased_on            date;

ALTER TABLE placements
    ADD COLUMN balance_due_on date,
    DROP CONSTRAINT placements_stage_check,
    ADD CONSTRAINT placements_stage_check CHECK (stage IN
        ('offered', 'reserved', 'confirmed', 'handed_over', 'withdrawn', 'lapsed', 'returned'));
-- A pup is promised once, whatever the race. A return holds no pup: it brings one back.
DROP INDEX placements_dog_taken;
CREATE UNIQUE INDEX placements_dog_taken ON placements (kennel_id, dog_id)
    WHERE stage IN ('reserved', 'confirmed', 'handed_over') AND kind <> 'return';
CREATE INDEX placements_running_out ON placements (kennel_id, reserved_until)
    WHERE stage IN ('offered', 'reserved');

ALTER TABLE payments DROP CONSTRAINT payments_kind_check;
ALTER TABLE payments ADD CONSTRAINT payments_kind_check CHECK (kind IN
    ('extra', 'discount', 'cancellation', 'deposit', 'payment', 'refund'));

-- Calls made to the new owner.
CREATE TABLE follow_ups (
    kennel_id    uuid NOT NULL,
    id           uuid NOT NULL,
    placement_id uuid NOT NULL,
    key          text NOT NULL CHECK (length(key) BETWEEN 1 AND 100),
    done_on      date NOT NULL,
    note         text CHECK (length(note) <= 10000),
    version      bigint NOT NULL DEFAULT 1,
    created_at   timestamptz NOT NULL DEFAULT now(),
    updated_at   timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT follow_ups_placement FOREIGN KEY (kennel_id, placement_id) REFERENCES placements ON DELETE CASCADE,
    CONSTRAINT follow_ups_key_taken UNIQUE (kennel_id, placement_id, key)
);
SELECT kennel_table('follow_ups', 'follow_up', 'sees_all() OR placement_id IN (SELECT id FROM placements)');

-- What the kennel spends, for a litter or for itself.
CREATE TABLE costs (
    kennel_id    uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id           uuid NOT NULL,
    litter_id    uuid,
    what         text NOT NULL CHECK (length(what) BETWEEN 1 AND 200),
    amount_minor bigint NOT NULL CHECK (amount_minor BETWEEN 1 AND 100000000000),
    currency     text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
    paid_on      date NOT NULL,
    note         text CHECK (length(note) <= 10000),
    version      bigint NOT NULL DEFAULT 1,
    created_at   timestamptz NOT NULL DEFAULT now(),
    updated_at   timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT costs_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters
);
CREATE INDEX costs_of_litter ON costs (kennel_id, litter_id);
SELECT kennel_table('costs', 'cost', 'sees_money() AND (sees_all() OR litter_id IN (SELECT id FROM litters))');

-- The kennel's own words in the pup's booklet; one row a kennel.
CREATE TABLE booklet_texts (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    welcome    text CHECK (length(welcome) <= 5000),
    feeding    text CHECK (length(feeding) <= 10000),
    care       text CHECK (length(care) <= 10000),
    contact    text CHECK (length(contact) <= 2000),
    logo_svg   text CHECK (length(logo_svg) <= 200000),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT booklet_texts_one CHECK (id = kennel_id)
);
SELECT kennel_table('booklet_texts', 'booklet_text', 'true');

-- A link by which the new owner reads one pup's booklet.
CREATE TABLE booklet_links (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    label      text CHECK (length(label) BETWEEN 1 AND 200),
    token_hash bytea NOT NULL UNIQUE,
    expires_at timestamptz,
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT booklet_links_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs
);
SELECT kennel_table('booklet_links', 'booklet_link', 'sees_money() AND (sees_all() OR dog_id IN (SELECT my_dogs()))');
