-- What is written in thousands at once: a signature is verified once a statement, an entry of the log made once a row.
\ir ../functions/references.sql
\ir ../functions/log.sql

DO $$
DECLARE guard record;
BEGIN
    FOR guard IN
        SELECT t.tgname AS name, t.tgrelid::regclass AS of_table, pg_get_triggerdef(t.oid) AS written
        FROM pg_trigger t WHERE t.tgname LIKE 'absent\_unless\_seen\_%'
    LOOP
        EXECUTE format('DROP TRIGGER %I ON %s', guard.name, guard.of_table);
        EXECUTE replace(guard.written, 'sees_all()', 'sees_all_throughout()');
    END LOOP;
END $$;
