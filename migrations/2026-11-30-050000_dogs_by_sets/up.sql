-- A million dogs at once: what each row was asked by itself is asked of a statement's rows, and what a search reads is
-- worked out without a function where names are of ASCII.
\ir ../functions/search.sql
\ir ../functions/references.sql

ALTER TABLE dogs DROP CONSTRAINT dogs_sire, DROP CONSTRAINT dogs_dam, DROP CONSTRAINT dogs_kennel_id_fkey;

-- By their names after the log's triggers, which take the kennel's lock.
CREATE TRIGGER parents_of_created AFTER INSERT ON dogs REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION hold_parents();
CREATE TRIGGER parents_of_changed AFTER UPDATE ON dogs REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION hold_parents();
CREATE TRIGGER parents_stay_changed AFTER UPDATE ON dogs REFERENCING OLD TABLE AS old_rows NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION keep_parents();
CREATE TRIGGER parents_stay_deleted AFTER DELETE ON dogs REFERENCING OLD TABLE AS old_rows
    FOR EACH STATEMENT EXECUTE FUNCTION keep_parents();
CREATE CONSTRAINT TRIGGER dogs_parents AFTER INSERT OR UPDATE ON dogs DEFERRABLE INITIALLY DEFERRED FOR EACH ROW
    WHEN (current_setting('denwright.parents_later', true) = 'yes') EXECUTE FUNCTION parents_in_the_end();
-- After the foreign keys' own triggers, whose names begin with a capital.
CREATE TRIGGER take_dogs_along AFTER DELETE ON kennels FOR EACH ROW EXECUTE FUNCTION dogs_go_along();
