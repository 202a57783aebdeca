-- People, kennels and who belongs where; the log of changes; the walls between kennels.
--
-- Every kennel-owned table is finished by kennel_table(), which gives it version numbers, the log
-- of changes, row-level security and the service's rights. A table that forgets it fails a test.

-- The service works as this role, which owns nothing and cannot bypass row-level security.
DO $$
BEGIN
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'denwright_service') THEN
        CREATE ROLE denwright_service NOLOGIN;
    END IF;
EXCEPTION
    -- Another database of the same cluster is migrating at the same moment.
    WHEN duplicate_object OR unique_violation THEN NULL;
END $$;
DO $$
BEGIN
    IF NOT pg_has_role(current_user, 'denwright_service', 'MEMBER') THEN
        EXECUTE format('GRANT denwright_service TO %I', current_user);
    END IF;
END $$;
GRANT USAGE ON SCHEMA public TO denwright_service;

CREATE TABLE people (
    id            uuid PRIMARY KEY,
    name          text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    email         text NOT NULL CHECK (email = lower(email) AND email LIKE '%_@_%' AND length(email) <= 254),
    password_hash text NOT NULL,
    version       bigint NOT NULL DEFAULT 1,
    created_at    timestamptz NOT NULL DEFAULT now(),
    updated_at    timestamptz NOT NULL DEFAULT now(),
    CONSTRAINT people_email_taken UNIQUE (email)
);

CREATE TABLE kennels (
    id           uuid PRIMARY KEY,
    kennel_id    uuid NOT NULL GENERATED ALWAYS AS (id) STORED,
    name         text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    time_zone    text NOT NULL,
    jurisdiction text,
    currency     text NOT NULL DEFAULT 'EUR' CHECK (currency ~ '^[A-Z]{3}$'),
    version      bigint NOT NULL DEFAULT 1,
    created_at   timestamptz NOT NULL DEFAULT now(),
    updated_at   timestamptz NOT NULL DEFAULT now()
);

-- One login's chain of refresh tokens is a family: a spent one that comes back ends the whole chain.
CREATE TABLE refresh_tokens (
    id         uuid PRIMARY KEY,
    family_id  uuid NOT NULL,
    person_id  uuid NOT NULL REFERENCES people ON DELETE CASCADE,
    token_hash bytea NOT NULL UNIQUE,
    expires_at timestamptz NOT NULL,
    spent_at   timestamptz,
    ended_at   timestamptz,
    created_at timestamptz NOT NULL DEFAULT now()
);
CREATE INDEX refresh_tokens_family ON refresh_tokens (family_id);
CREATE INDEX refresh_tokens_person ON refresh_tokens (person_id);

-- Answers kept so that a repeated POST gets the same one. kennel_id is null for requests outside a kennel.
CREATE TABLE idempotency_keys (
    person_id   uuid NOT NULL REFERENCES people ON DELETE CASCADE,
    key         text NOT NULL CHECK (length(key) BETWEEN 1 AND 255),
    fingerprint bytea NOT NULL,
    status      smallint,
    headers     jsonb NOT NULL DEFAULT '{}',
    body        jsonb,
    created_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (person_id, key)
);
CREATE INDEX idempotency_keys_age ON idempotency_keys (created_at);

-- Keys that sign access tokens: the newest signs, all that are not retired verify.
CREATE TABLE signing_keys (
    id         uuid PRIMARY KEY,
    secret     bytea NOT NULL CHECK (length(secret) >= 32),
    created_at timestamptz NOT NULL DEFAULT now(),
    retired_at timestamptz
);

GRANT SELECT, INSERT, UPDATE, DELETE ON people, refresh_tokens, idempotency_keys, signing_keys TO denwright_service;

-- What the running transaction may see; the service sets these when it begins one.
CREATE FUNCTION current_kennel() RETURNS uuid LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT nullif(current_setting('denwright.kennel', true), '')::uuid $$;
CREATE FUNCTION current_person() RETURNS uuid LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT nullif(current_setting('denwright.person', true), '')::uuid $$;
CREATE FUNCTION sees_all() RETURNS boolean LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT current_setting('denwright.sees', true) = 'all' $$;
CREATE FUNCTION sees_money() RETURNS boolean LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT current_setting('denwright.money', true) = 'yes' $$;

-- The log of changes. change_heads hands out each kennel's numbers: its row lock is held until the
-- writer commits, so numbers have no gap and become visible in order, and a reader can say "after 4812".
CREATE TABLE change_heads (
    kennel_id uuid PRIMARY KEY REFERENCES kennels ON DELETE CASCADE,
    sequence  bigint NOT NULL DEFAULT 0
);
CREATE TABLE changes (
    kennel_id uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    sequence  bigint NOT NULL,
    at        timestamptz NOT NULL DEFAULT now(),
    person_id uuid,
    what      text NOT NULL,
    row_id    uuid,
    action    text NOT NULL CHECK (action IN ('created', 'changed', 'deleted', 'imported')),
    before    jsonb,
    after     jsonb,
    dog_ids   uuid[] NOT NULL DEFAULT '{}',
    PRIMARY KEY (kennel_id, sequence)
);
CREATE INDEX changes_of_row ON changes (kennel_id, row_id, sequence);

CREATE FUNCTION next_changes(kennel uuid, count bigint) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE last bigint;
BEGIN
    INSERT INTO change_heads AS head (kennel_id, sequence) VALUES (kennel, count)
        ON CONFLICT (kennel_id) DO UPDATE SET sequence = head.sequence + count
        RETURNING sequence INTO last;
    PERFORM pg_notify('denwright_changes', kennel::text);
    RETURN last - count;
END $$;

-- The dogs that a logged row is about, so that a co-owner reads the log of the shared ones only.
CREATE FUNCTION dogs_of_row(what text, content jsonb) RETURNS uuid[] LANGUAGE sql IMMUTABLE AS $$
    SELECT coalesce(array_agg(id::uuid), '{}')
    FROM unnest(ARRAY[
        CASE WHEN what = 'dog' THEN content->>'id' END,
        CASE WHEN what <> 'dog' THEN content->>'dog_id' END,
        CASE WHEN what <> 'dog' THEN content->>'dam_id' END,
        CASE WHEN what <> 'dog' THEN content->>'sire_id' END]) AS id
    WHERE id IS NOT NULL
$$;

-- A row as it is logged: without secrets, and without what serves the database alone.
CREATE FUNCTION logged(content jsonb) RETURNS jsonb LANGUAGE sql IMMUTABLE AS $$
    SELECT content - '{kennel_id,token_hash,dog_sex,dam_sex,sire_sex}'::text[]
$$;

-- One entry a row and statement. An import writes a single entry for all the rows it creates
-- (a created row holds nothing that the row itself does not), but each row that it changes.
CREATE FUNCTION log_created() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; count bigint; base bigint;
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM new_rows GROUP BY kennel_id LOOP
        IF current_setting('denwright.import', true) = 'yes' THEN
            base := next_changes(kennel, 1);
            INSERT INTO changes (kennel_id, sequence, person_id, what, action, after)
            VALUES (kennel, base + 1, current_person(), TG_ARGV[0], 'imported', jsonb_build_object('rows', count));
        ELSE
            base := next_changes(kennel, count);
            INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, after, dog_ids)
            SELECT kennel, base + row_number() OVER (ORDER BY id), current_person(), TG_ARGV[0], id, 'created',
                   content, dogs_of_row(TG_ARGV[0], content)
            FROM (SELECT id, logged(to_jsonb(n)) AS content FROM new_rows n WHERE kennel_id = kennel) AS logged;
        END IF;
    END LOOP;
    RETURN NULL;
END $$;
CREATE FUNCTION log_changed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; count bigint; base bigint;
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM new_rows GROUP BY kennel_id LOOP
        base := next_changes(kennel, count);
        INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, after, dog_ids)
        SELECT kennel, base + row_number() OVER (ORDER BY n.id), current_person(), TG_ARGV[0], n.id, 'changed',
               logged(to_jsonb(o)), logged(to_jsonb(n)), dogs_of_row(TG_ARGV[0], to_jsonb(n))
        FROM new_rows n JOIN old_rows o USING (kennel_id, id) WHERE kennel_id = kennel;
    END LOOP;
    RETURN NULL;
END $$;
CREATE FUNCTION log_deleted() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; count bigint; base bigint;
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM old_rows GROUP BY kennel_id LOOP
        base := next_changes(kennel, count);
        INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, dog_ids)
        SELECT kennel, base + row_number() OVER (ORDER BY id), current_person(), TG_ARGV[0], id, 'deleted',
               content, dogs_of_row(TG_ARGV[0], content)
        FROM (SELECT id, logged(to_jsonb(o)) AS content FROM old_rows o WHERE kennel_id = kennel) AS logged;
    END LOOP;
    RETURN NULL;
END $$;

CREATE FUNCTION next_version() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    NEW.version := OLD.version + 1;
    NEW.created_at := OLD.created_at;
    NEW.updated_at := now();
    RETURN NEW;
END $$;

-- Finishes a kennel-owned table: `what` names its rows in the log; `visible` is the condition under
-- which the running transaction may see and write a row of its kennel.
CREATE FUNCTION kennel_table(name text, what text, visible text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    EXECUTE format('CREATE TRIGGER next_version BEFORE UPDATE ON %I FOR EACH ROW EXECUTE FUNCTION next_version()', name);
    EXECUTE format('CREATE TRIGGER log_created AFTER INSERT ON %I REFERENCING NEW TABLE AS new_rows
        FOR EACH STATEMENT EXECUTE FUNCTION log_created(%L)', name, what);
    EXECUTE format('CREATE TRIGGER log_changed AFTER UPDATE ON %I REFERENCING OLD TABLE AS old_rows NEW TABLE AS new_rows
        FOR EACH STATEMENT EXECUTE FUNCTION log_changed(%L)', name, what);
    EXECUTE format('CREATE TRIGGER log_deleted AFTER DELETE ON %I REFERENCING OLD TABLE AS old_rows
        FOR EACH STATEMENT EXECUTE FUNCTION log_deleted(%L)', name, what);
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', name);
    EXECUTE format('CREATE POLICY of_kennel ON %I USING (kennel_id = current_kennel() AND (%s))', name, visible);
    EXECUTE format('GRANT SELECT, INSERT, UPDATE, DELETE ON %I TO denwright_service', name);
END $$;

CREATE TABLE memberships (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    person_id  uuid NOT NULL REFERENCES people,
    role       text NOT NULL CHECK (role IN ('owner', 'co_owner', 'helper', 'viewer')),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT memberships_person_taken UNIQUE (kennel_id, person_id)
);
CREATE INDEX memberships_of_person ON memberships (person_id);
SELECT kennel_table('memberships', 'member', 'true');

-- A kennel keeps at least one owner, whatever two requests do at once.
CREATE FUNCTION keep_an_owner() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF OLD.role = 'owner' AND (TG_OP = 'DELETE' OR NEW.role <> 'owner') THEN
        PERFORM FROM kennels WHERE id = OLD.kennel_id FOR NO KEY UPDATE;
        IF FOUND AND NOT EXISTS (SELECT FROM memberships WHERE kennel_id = OLD.kennel_id AND role = 'owner') THEN
            RAISE EXCEPTION 'the last owner of a kennel stays' USING ERRCODE = 'check_violation', CONSTRAINT = 'memberships_last_owner';
        END IF;
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER keep_an_owner AFTER UPDATE OR DELETE ON memberships FOR EACH ROW EXECUTE FUNCTION keep_an_owner();

CREATE TABLE invitations (
    kennel_id   uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id          uuid NOT NULL,
    email       text NOT NULL CHECK (email = lower(email)),
    role        text NOT NULL CHECK (role IN ('owner', 'co_owner', 'helper', 'viewer')),
    token_hash  bytea NOT NULL UNIQUE,
    expires_at  timestamptz NOT NULL,
    accepted_at timestamptz,
    version     bigint NOT NULL DEFAULT 1,
    created_at  timestamptz NOT NULL DEFAULT now(),
    updated_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id)
);
SELECT kennel_table('invitations', 'invitation', 'sees_all()');

-- For a front end's own server. read_only tokens may not write, whatever their person's role.
CREATE TABLE access_tokens (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    person_id  uuid NOT NULL REFERENCES people,
    name       text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    token_hash bytea NOT NULL UNIQUE,
    read_only  boolean NOT NULL,
    expires_at timestamptz,
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id)
);
SELECT kennel_table('access_tokens', 'access_token', 'person_id = current_person() OR sees_all()');

SELECT kennel_table('kennels', 'kennel', 'true');

-- A kennel's own value for one of the rules that advice rests on.
CREATE TABLE rule_overrides (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    key        text NOT NULL,
    value      double precision NOT NULL,
    source     text NOT NULL CHECK (length(source) BETWEEN 1 AND 500),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT rule_overrides_key_taken UNIQUE (kennel_id, key)
);
SELECT kennel_table('rule_overrides', 'rule_override', 'true');

GRANT SELECT ON changes, change_heads TO denwright_service;
ALTER TABLE changes ENABLE ROW LEVEL SECURITY;
ALTER TABLE change_heads ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON change_heads USING (kennel_id = current_kennel());
-- The policy of changes needs the dogs; see the next migration.
