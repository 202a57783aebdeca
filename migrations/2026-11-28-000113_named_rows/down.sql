DO $$
DECLARE name text; old record;
BEGIN
    FOREACH name IN ARRAY '{places,supplies,own_tasks,task_marks}'::text[] LOOP
        EXECUTE format('DROP POLICY not_by_co_owners_new ON %I', name);
        EXECUTE format('DROP POLICY not_by_co_owners_changed ON %I', name);
        EXECUTE format('DROP POLICY not_by_co_owners_deleted ON %I', name);
    END LOOP;
    FOR old IN SELECT tgname, tgrelid::regclass::text AS name FROM pg_trigger WHERE tgname LIKE 'absent\_unless\_%' LOOP
        EXECUTE format('DROP TRIGGER %I ON %I', old.tgname, old.name);
    END LOOP;
END $$;
DROP FUNCTION guard_references(text);
DROP FUNCTION check_seen();
DROP FUNCTION check_member();
DROP INDEX shares_of_holder, task_marks_of_assignee, task_marks_of_doer, buyers_of_maker;
ALTER TABLE buyers DROP CONSTRAINT buyers_created_by;
ALTER TABLE task_marks DROP CONSTRAINT task_marks_assignee, DROP CONSTRAINT task_marks_done_by;
ALTER TABLE shares
    DROP CONSTRAINT shares_person,
    ADD CONSTRAINT shares_person_id_fkey FOREIGN KEY (person_id) REFERENCES people;
DROP TRIGGER know_member ON memberships;
DROP FUNCTION know_member();
DROP FUNCTION address_of(uuid);
DROP TABLE kennel_people;
