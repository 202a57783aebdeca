-- Rings: whom an alarm reaches, by which way and when, and what became of each.
--
-- An alarm is no row, since it follows from the record. That somebody was told of it is one: a worker compares
-- the alarms of a kennel with what was told last, and writes what is new together with the rings that follow.

-- The key that shows push services who sends, sealed; made at the first start.
CREATE TABLE vapid_key (
    only_one boolean PRIMARY KEY DEFAULT true CHECK (only_one),
    secret   bytea NOT NULL
);

-- Who is on duty when: one roster a kennel.
CREATE TABLE duty_rosters (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    -- [{"person_id": …, "begins_at": …, "ends_at": …}]
    turns      jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(turns) = 'array'),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT duty_rosters_one UNIQUE (kennel_id)
);
SELECT kennel_table('duty_rosters', 'duty_roster', 'true');
INSERT INTO log_words (word, needs, wide) VALUES ('duty_roster', 'dogs', true);

-- What a member chose. It is theirs, and no record of the kennel's: not logged.
CREATE TABLE ring_choices (
    kennel_id     uuid NOT NULL,
    id            uuid NOT NULL,
    person_id     uuid NOT NULL DEFAULT current_person(),
    membership_id uuid NOT NULL DEFAULT current_membership(),
    choices       jsonb NOT NULL CHECK (jsonb_typeof(choices) = 'object'),
    version       bigint NOT NULL DEFAULT 1,
    created_at    timestamptz NOT NULL DEFAULT now(),
    updated_at    timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT ring_choices_one UNIQUE (kennel_id, person_id),
    CONSTRAINT ring_choices_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE
);
CREATE INDEX ring_choices_of_membership ON ring_choices (kennel_id, membership_id);
CREATE TRIGGER next_version BEFORE UPDATE ON ring_choices FOR EACH ROW EXECUTE FUNCTION next_version();
ALTER TABLE ring_choices ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON ring_choices USING (kennel_id = current_kennel() AND person_id = current_person());
GRANT SELECT, INSERT, UPDATE ON ring_choices TO denwright_service;

-- A device that takes pushes. Its address is a secret, since whoever has it may ring there: it lies sealed with
-- its keys, and is known again by its hash.
CREATE TABLE push_devices (
    kennel_id     uuid NOT NULL,
    id            uuid NOT NULL,
    person_id     uuid NOT NULL DEFAULT current_person(),
    membership_id uuid NOT NULL DEFAULT current_membership(),
    name          text NOT NULL CHECK (length(name) BETWEEN 1 AND 100),
    host          text NOT NULL CHECK (length(host) <= 255),
    token_hash    bytea NOT NULL,
    secret        bytea NOT NULL,
    created_at    timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT push_devices_one UNIQUE (kennel_id, membership_id, token_hash),
    CONSTRAINT push_devices_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE
);
CREATE INDEX push_devices_of_address ON push_devices (token_hash);
ALTER TABLE push_devices ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON push_devices USING (kennel_id = current_kennel() AND person_id = current_person());
GRANT SELECT, INSERT, DELETE ON push_devices TO denwright_service;

-- The kennels that somebody wants to hear of, and when each is looked at next by the service's clock.
CREATE TABLE ring_watches (
    kennel_id       uuid PRIMARY KEY REFERENCES kennels ON DELETE CASCADE,
    next_at         timestamptz NOT NULL,
    -- The change up to which it was looked at.
    looked_sequence bigint NOT NULL DEFAULT -1,
    -- Whose alarms were ever looked at: those of all dogs, or those that one co-owner sees.
    audiences       text[] NOT NULL DEFAULT '{}',
    lease           uuid UNIQUE,
    leased_until    timestamptz
);
CREATE INDEX ring_watches_next ON ring_watches (next_at);

-- An alarm as an audience was told of it last; `turn` counts how often it was raised or became graver.
CREATE TABLE alarm_states (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    audience   text NOT NULL,
    alarm_id   uuid NOT NULL,
    -- What webhooks are told of it.
    alarm      jsonb NOT NULL,
    level      text NOT NULL CHECK (level IN ('note', 'act', 'emergency')),
    turn       integer NOT NULL,
    seen       boolean NOT NULL,
    over       boolean NOT NULL,
    told_at    timestamptz NOT NULL,
    PRIMARY KEY (kennel_id, audience, alarm_id)
);

-- What is to ring, and what became of it. `due_at` is by the service's clock, the rest by the database's.
CREATE TABLE rings (
    kennel_id     uuid NOT NULL,
    id            uuid NOT NULL,
    membership_id uuid NOT NULL DEFAULT current_membership(),
    person_id     uuid NOT NULL DEFAULT current_person(),
    -- Null for a test.
    audience      text,
    alarm_id      uuid NOT NULL,
    turn          integer NOT NULL,
    way           text NOT NULL CHECK (way IN ('push', 'mail')),
    -- The device that is rung; null for a mail.
    device_id     uuid,
    due_at        timestamptz NOT NULL,
    content       jsonb NOT NULL,
    status        text NOT NULL DEFAULT 'waiting' CHECK (status IN ('waiting', 'sent', 'dead', 'dropped')),
    attempts      integer NOT NULL DEFAULT 0,
    retry_at      timestamptz NOT NULL DEFAULT now(),
    leased_until  timestamptz,
    last_error    text,
    created_at    timestamptz NOT NULL DEFAULT now(),
    sent_at       timestamptz,
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT rings_id UNIQUE (id),
    CONSTRAINT rings_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE
);
-- Nothing rings twice.
CREATE UNIQUE INDEX rings_once ON rings
    (kennel_id, membership_id, alarm_id, turn, way, coalesce(device_id, '00000000-0000-0000-0000-000000000000'));
CREATE INDEX rings_due ON rings (due_at) WHERE status = 'waiting';
CREATE INDEX rings_age ON rings (created_at);
ALTER TABLE ring_watches ENABLE ROW LEVEL SECURITY;
ALTER TABLE alarm_states ENABLE ROW LEVEL SECURITY;
ALTER TABLE rings ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON ring_watches USING (kennel_id = current_kennel() AND sees_all());
CREATE POLICY of_kennel ON alarm_states USING (kennel_id = current_kennel() AND sees_all());
CREATE POLICY of_kennel ON rings USING (kennel_id = current_kennel() AND person_id = current_person());
GRANT SELECT ON ring_watches, alarm_states TO denwright_service;
GRANT SELECT, INSERT ON rings TO denwright_service;

-- ---------------------------------------------------------------------------------------------------------
-- Events of webhooks: turns of alarms stand in the log, and are delivered as the rest of it.

ALTER TABLE changes DROP CONSTRAINT changes_action_check;
ALTER TABLE changes ADD CONSTRAINT changes_action_check
    CHECK (action IN ('created', 'changed', 'deleted', 'imported', 'raised', 'worse', 'seen', 'over'));
\ir ../functions/log.sql

\ir ../functions/rings.sql
CREATE TRIGGER watch_kennel AFTER INSERT OR UPDATE ON ring_choices FOR EACH ROW EXECUTE FUNCTION watch_kennel();
CREATE TRIGGER watch_kennel AFTER INSERT OR UPDATE OF active, events ON webhooks FOR EACH ROW
    WHEN (NEW.active) EXECUTE FUNCTION watch_kennel();
INSERT INTO ring_watches (kennel_id, next_at) SELECT DISTINCT kennel_id, 'epoch'::timestamptz FROM webhooks WHERE active;

-- ---------------------------------------------------------------------------------------------------------
-- The worker belongs to no kennel: it reaches them through these, and what it may do in one hangs on a lease
-- that it took just now.

-- ---------------------------------------------------------------------------------------------------------
-- Sealing and clearing away know of what has come.

DROP FUNCTION secrets_to_seal(bytea);
\ir ../functions/secrets.sql

\ir ../functions/logins.sql
