-- A row names people who belong or belonged to the kennel, never strangers; and whoever does not see a
-- row cannot name it.

-- Everybody who has ever been a member. A row that names somebody keeps the name when they leave.
CREATE TABLE kennel_people (
    kennel_id uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    person_id uuid NOT NULL REFERENCES people,
    PRIMARY KEY (kennel_id, person_id)
);
CREATE INDEX kennel_people_of_person ON kennel_people (person_id);
ALTER TABLE kennel_people ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON kennel_people USING (kennel_id = current_kennel());
GRANT SELECT ON kennel_people TO denwright_service;

CREATE FUNCTION know_member() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO kennel_people (kennel_id, person_id) VALUES (NEW.kennel_id, NEW.person_id) ON CONFLICT DO NOTHING;
    RETURN NULL;
END $$;
CREATE TRIGGER know_member AFTER INSERT ON memberships FOR EACH ROW EXECUTE FUNCTION know_member();

-- Members, those whom the log knows as such, and those who wrote in it: nobody else could.
INSERT INTO kennel_people (kennel_id, person_id)
    SELECT kennel_id, person_id FROM memberships
    UNION SELECT c.kennel_id, p.id FROM changes c JOIN people p ON p.id::text = coalesce(c.after, c.before)->>'person_id'
        WHERE c.what = 'member'
    UNION SELECT c.kennel_id, p.id FROM changes c JOIN people p ON p.id = c.person_id
    ON CONFLICT DO NOTHING;

-- Of the shares that are there, those of strangers go, and the log keeps what they were; a mark keeps what
-- was done and loses the stranger.
DELETE FROM shares s WHERE NOT EXISTS (
    SELECT FROM kennel_people k WHERE k.kennel_id = s.kennel_id AND k.person_id = s.person_id);
UPDATE task_marks t SET assignee_id = NULL WHERE assignee_id IS NOT NULL AND NOT EXISTS (
    SELECT FROM kennel_people k WHERE k.kennel_id = t.kennel_id AND k.person_id = t.assignee_id);
UPDATE task_marks t SET done_by = NULL WHERE done_by IS NOT NULL AND NOT EXISTS (
    SELECT FROM kennel_people k WHERE k.kennel_id = t.kennel_id AND k.person_id = t.done_by);
ALTER TABLE buyers DISABLE TRIGGER USER;
UPDATE buyers b SET created_by = NULL WHERE created_by IS NOT NULL AND NOT EXISTS (
    SELECT FROM kennel_people k WHERE k.kennel_id = b.kennel_id AND k.person_id = b.created_by);
ALTER TABLE buyers ENABLE TRIGGER USER;

ALTER TABLE shares
    DROP CONSTRAINT shares_person_id_fkey,
    ADD CONSTRAINT shares_person FOREIGN KEY (kennel_id, person_id) REFERENCES kennel_people;
ALTER TABLE task_marks
    ADD CONSTRAINT task_marks_assignee FOREIGN KEY (kennel_id, assignee_id) REFERENCES kennel_people,
    ADD CONSTRAINT task_marks_done_by FOREIGN KEY (kennel_id, done_by) REFERENCES kennel_people;
ALTER TABLE buyers
    ADD CONSTRAINT buyers_created_by FOREIGN KEY (kennel_id, created_by) REFERENCES kennel_people;
CREATE INDEX shares_of_holder ON shares (kennel_id, person_id);
CREATE INDEX task_marks_of_assignee ON task_marks (kennel_id, assignee_id) WHERE assignee_id IS NOT NULL;
CREATE INDEX task_marks_of_doer ON task_marks (kennel_id, done_by) WHERE done_by IS NOT NULL;
CREATE INDEX buyers_of_maker ON buyers (kennel_id, created_by) WHERE created_by IS NOT NULL;

-- For an archive: all whom the kennel's rows may name, and the address of one of them.
CREATE OR REPLACE FUNCTION people_of_log() RETURNS TABLE (id uuid, name text, email text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT p.id, p.name, p.email FROM people p
    WHERE (SELECT has_right('managing'))
      AND p.id IN (SELECT k.person_id FROM kennel_people k WHERE k.kennel_id = (SELECT current_kennel()))
$$;
CREATE FUNCTION address_of(person uuid) RETURNS text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT p.email FROM people p JOIN kennel_people k ON k.person_id = p.id
    WHERE p.id = person AND k.kennel_id = (SELECT current_kennel()) AND (SELECT has_right('managing'))
$$;

-- A share is given to a member, and a task too. What they hold stays theirs when they leave.
CREATE FUNCTION check_member() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE named uuid := (to_jsonb(NEW)->>TG_ARGV[1])::uuid;
BEGIN
    IF named IS NOT NULL AND (TG_OP = 'INSERT' OR named IS DISTINCT FROM (to_jsonb(OLD)->>TG_ARGV[1])::uuid)
       AND NOT EXISTS (SELECT FROM memberships WHERE kennel_id = NEW.kennel_id AND person_id = named) THEN
        RAISE EXCEPTION 'no member is named' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = TG_ARGV[0];
    END IF;
    RETURN NEW;
END $$;
CREATE TRIGGER absent_unless_member BEFORE INSERT OR UPDATE OF person_id ON shares
    FOR EACH ROW EXECUTE FUNCTION check_member('shares_person', 'person_id');
CREATE TRIGGER absent_unless_member BEFORE INSERT OR UPDATE OF assignee_id ON task_marks
    FOR EACH ROW EXECUTE FUNCTION check_member('task_marks_assignee', 'assignee_id');

-- Foreign keys look past the walls. To a co-owner a row that they do not see is not there: naming it fails
-- as naming nothing does, by the same constraint. The name makes these triggers the first of all.
CREATE FUNCTION check_seen() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    row_now CONSTANT jsonb := to_jsonb(NEW);
    named CONSTANT uuid := row_now->>TG_ARGV[1];
    seen boolean;
BEGIN
    IF named IS NULL OR (TG_OP = 'UPDATE' AND named IS NOT DISTINCT FROM (to_jsonb(OLD)->>TG_ARGV[1])::uuid) THEN
        RETURN NEW;
    END IF;
    EXECUTE format('SELECT EXISTS (SELECT FROM %I WHERE kennel_id = $1 AND id = $2)', TG_ARGV[2])
        INTO seen USING NEW.kennel_id, named;
    -- A pup has the parents of its litter, and a litter the sire of its mating, whoever writes it down.
    IF NOT seen AND TG_TABLE_NAME = 'dogs' AND TG_OP = 'INSERT' THEN
        seen := EXISTS (SELECT FROM litters WHERE kennel_id = NEW.kennel_id
            AND dam_id = (row_now->>'dam_id')::uuid AND sire_id = (row_now->>'sire_id')::uuid);
    ELSIF NOT seen AND TG_TABLE_NAME = 'litters' AND TG_ARGV[1] = 'sire_id' THEN
        seen := EXISTS (SELECT FROM matings WHERE kennel_id = NEW.kennel_id
            AND id = (row_now->>'mating_id')::uuid AND sire_id = named);
    END IF;
    IF NOT seen THEN
        RAISE EXCEPTION 'no such row is seen' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = TG_ARGV[0];
    END IF;
    RETURN NEW;
END $$;
-- Guards the references of a table to rows by their ids; a new table's migration calls it at its end.
CREATE FUNCTION guard_references(name text) RETURNS void LANGUAGE plpgsql AS $$
DECLARE reference record;
BEGIN
    FOR reference IN
        SELECT c.conname, own.attname AS own, c.confrelid::regclass::text AS other
        FROM pg_constraint c
        JOIN pg_attribute own ON own.attrelid = c.conrelid AND own.attnum = c.conkey[2]
        JOIN pg_attribute other ON other.attrelid = c.confrelid AND other.attnum = c.confkey[2]
        WHERE c.contype = 'f' AND c.conrelid = name::regclass AND array_length(c.conkey, 1) >= 2
          AND other.attname = 'id'
          -- The birth is what makes the pup's dog visible.
          AND c.conname <> 'births_dog'
          AND NOT EXISTS (SELECT FROM pg_trigger t WHERE t.tgrelid = c.conrelid
                          AND t.tgname = 'absent_unless_seen_' || c.conname)
        ORDER BY c.conname
    LOOP
        EXECUTE format('CREATE TRIGGER %I BEFORE INSERT OR UPDATE OF %I ON %I FOR EACH ROW WHEN (NEW.%I IS NOT NULL AND NOT sees_all())
            EXECUTE FUNCTION check_seen(%L, %L, %L)', 'absent_unless_seen_' || reference.conname, reference.own, name, reference.own,
            reference.conname, reference.own, reference.other);
    END LOOP;
END $$;
DO $$
DECLARE name text;
BEGIN
    FOR name IN SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname = 'log_created' ORDER BY 1 LOOP
        PERFORM guard_references(name);
    END LOOP;
END $$;
-- What is the whole kennel's is read by its co-owners and changed by others.
DO $$
DECLARE wall record;
BEGIN
    FOR wall IN SELECT * FROM (VALUES
        ('places', '(SELECT sees_all())'),
        ('supplies', '(SELECT sees_all())'),
        ('own_tasks', '(SELECT sees_all()) OR dog_id IS NOT NULL OR litter_id IS NOT NULL'),
        ('task_marks', '(SELECT sees_all()) OR dog_id IS NOT NULL OR litter_id IS NOT NULL')) AS walls (name, rule)
    LOOP
        EXECUTE format('CREATE POLICY not_by_co_owners_new ON %I AS RESTRICTIVE FOR INSERT WITH CHECK (%s)', wall.name, wall.rule);
        EXECUTE format('CREATE POLICY not_by_co_owners_changed ON %I AS RESTRICTIVE FOR UPDATE USING (%s)', wall.name, wall.rule);
        EXECUTE format('CREATE POLICY not_by_co_owners_deleted ON %I AS RESTRICTIVE FOR DELETE USING (%s)', wall.name, wall.rule);
    END LOOP;
END $$;
