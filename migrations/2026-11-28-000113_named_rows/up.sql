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

\ir ../functions/references.sql
\ir ../functions/log.sql

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
CREATE TRIGGER absent_unless_member BEFORE INSERT OR UPDATE OF person_id ON shares
    FOR EACH ROW EXECUTE FUNCTION check_member('shares_person', 'person_id');
CREATE TRIGGER absent_unless_member BEFORE INSERT OR UPDATE OF assignee_id ON task_marks
    FOR EACH ROW EXECUTE FUNCTION check_member('task_marks_assignee', 'assignee_id');
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
