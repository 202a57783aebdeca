-- What each table of a kennel gets, and the walls around all of them.

CREATE OR REPLACE FUNCTION next_version() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    NEW.version := OLD.version + 1;
    NEW.created_at := OLD.created_at;
    NEW.updated_at := now();
    RETURN NEW;
END $$;

-- A row that is restored after its deletion goes on counting its versions where it stopped: who has
-- seen an early one must not overwrite it.
CREATE OR REPLACE FUNCTION first_version() RETURNS bigint LANGUAGE sql STABLE PARALLEL SAFE
    AS $$ SELECT coalesce(nullif(current_setting('denwright.first_version', true), '')::bigint, 1) $$;

-- Finishes a kennel-owned table: `what` names its rows in the log; `visible` is the condition under
-- which the running transaction may see and write a row of its kennel.
CREATE OR REPLACE FUNCTION kennel_table(name text, what text, visible text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    EXECUTE format('ALTER TABLE %I ALTER COLUMN version SET DEFAULT first_version()', name);
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
    PERFORM finish_walls();
END $$;

-- A text of SQL that asks the transaction, so that it does so once a statement, and not once a row. Whoever sees all dogs
-- is asked about at once with the kennel: `kennel AND (all OR of mine)` is `kennel of who sees all OR (kennel AND of mine)`,
-- whose second half is not looked at for them. Only conditions of this one shape are turned round.
--
-- A question names its kennel by itself, and the wall behind it does so again. Taken for two conditions, they would leave a
-- row or two in the planner's eyes, and it would rather look through the whole kennel for a thousand ids than find each
-- by its own. In COALESCE it knows nothing of the second one. Of heats and placements policies of others ask without
-- naming the kennel (finish_walls), so they keep theirs bare.
CREATE OR REPLACE FUNCTION asks_once(told text) RETURNS text LANGUAGE sql IMMUTABLE AS $$
    SELECT regexp_replace(
        regexp_replace(regexp_replace(regexp_replace(regexp_replace(regexp_replace(
        regexp_replace(told, '\( *SELECT (current_kennel|current_person|sees_all|sees_money|has_right)(\(\)|\(''\w+''(::text)?\))( AS \w+)?\)', '\1\2', 'g'),
        '\mcurrent_kennel\(\)', '(SELECT proven_scope.kennel FROM proven_scope)', 'g'),
        '\mcurrent_person\(\)', '(SELECT proven_scope.person FROM proven_scope)', 'g'),
        '\msees_all\(\)', '(SELECT proven_scope.all_dogs FROM proven_scope)', 'g'),
        '\msees_money\(\)', '(SELECT proven_scope.prices FROM proven_scope)', 'g'),
        '\mhas_right\(''(\w+)''(::text)?\)', '(SELECT proven_scope.may_\1 FROM proven_scope)', 'g'),
        '^\(\(kennel_id = \(\s*SELECT proven_scope\.kennel\s+FROM proven_scope\)\) AND \(\(\s*SELECT proven_scope\.all_dogs\s+FROM proven_scope\) OR '
        || '(\(\w+ IN \(\s*SELECT (?:my_dogs\(\) AS my_dogs|litters\.id\s+FROM litters)\)\))\)\)$',
        '((kennel_id = (SELECT proven_scope.kennel FROM proven_scope WHERE proven_scope.all_dogs)) '
        || 'OR ((kennel_id = (SELECT proven_scope.kennel FROM proven_scope)) AND \1))')
$$;

-- Row-level security that holds for the owner of the tables as well, and functions for nobody who was not given
-- them: for all that is there. Runs after each migration.
CREATE OR REPLACE FUNCTION finish_walls() RETURNS void LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE
    -- Not for the service: what signs, what stands in for anybody, and what only others call.
    internal CONSTANT text[] := '{sign_scope,stand_in,finish_walls,kennel_table,
        next_changes,end_sessions_of,go_on_alone,asks_once,forget_sealed,next_uuid,
        forget_in_kennel,log_kennel_end,forget_reports,booklet_link_here}';
    secret CONSTANT text[] := '{token_hash,secret}';
    asked_bare CONSTANT text[] := '{heats,placements}';
    -- What is so already stays so.
    counted CONSTANT text := '(?<!COALESCE\()\(kennel_id = \(\s*SELECT proven_scope\.kennel\s+FROM proven_scope\s+WHERE proven_scope\.all_dogs\)\)';
    found record;
    condition text;
    checked text;
BEGIN
    -- Row-level security for the owner too, but for who is a member of denwright_upkeep.
    FOR found IN
        SELECT c.oid::regclass AS name, c.oid, c.relrowsecurity, c.relforcerowsecurity FROM pg_class c
        WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
          AND (c.relrowsecurity OR EXISTS (
              SELECT FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'kennel_id' AND NOT a.attisdropped))
    LOOP
        IF NOT found.relrowsecurity THEN
            EXECUTE format('ALTER TABLE %s ENABLE ROW LEVEL SECURITY', found.name);
        END IF;
        IF NOT found.relforcerowsecurity THEN
            EXECUTE format('ALTER TABLE %s FORCE ROW LEVEL SECURITY', found.name);
        END IF;
        IF NOT EXISTS (SELECT FROM pg_policy p WHERE p.polrelid = found.oid AND p.polname = 'at_upkeep') THEN
            EXECUTE format('CREATE POLICY at_upkeep ON %s TO denwright_upkeep USING (true) WITH CHECK (true)', found.name);
        END IF;
    END LOOP;

    -- Backups read all.
    FOR found IN
        SELECT c.oid::regclass AS name FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace
          AND c.relkind IN ('r', 'p') AND NOT has_table_privilege('denwright_upkeep', c.oid, 'SELECT')
    LOOP
        EXECUTE format('GRANT SELECT ON %s TO denwright_upkeep', found.name);
    END LOOP;

    -- Policies are the service's; they ask the transaction once a statement, and not once a row.
    FOR found IN
        SELECT p.polname, p.polrelid::regclass AS name, pg_get_expr(p.polqual, p.polrelid) AS qual,
               pg_get_expr(p.polwithcheck, p.polrelid) AS with_check, p.polroles = '{0}' AS for_all
        FROM pg_policy p JOIN pg_class c ON c.oid = p.polrelid WHERE c.relnamespace = 'public'::regnamespace
    LOOP
        IF found.for_all THEN
            EXECUTE format('ALTER POLICY %I ON %s TO denwright_service', found.polname, found.name);
        END IF;
        condition := asks_once(found.qual);
        IF found.name::text <> ALL (asked_bare) THEN
            condition := regexp_replace(condition, counted, 'COALESCE((kennel_id = (SELECT proven_scope.kennel FROM proven_scope WHERE proven_scope.all_dogs)), false)');
        END IF;
        checked := asks_once(found.with_check);
        IF (condition, checked) IS DISTINCT FROM (found.qual, found.with_check) THEN
            EXECUTE format('ALTER POLICY %I ON %s', found.polname, found.name)
                || coalesce(' USING (' || condition || ')', '') || coalesce(' WITH CHECK (' || checked || ')', '');
        END IF;
    END LOOP;

    -- Columns of secrets are not read: the right to read a table goes, column by column the others come.
    FOR found IN
        SELECT c.oid, c.oid::regclass AS name FROM pg_class c
        WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND c.relrowsecurity
          AND EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = ANY (secret) AND NOT a.attisdropped)
          AND EXISTS (SELECT FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname <> ALL (secret) AND a.attnum > 0
                      AND NOT a.attisdropped AND NOT (has_column_privilege('denwright_service', c.oid, a.attnum, 'SELECT'))
                      OR has_table_privilege('denwright_service', c.oid, 'SELECT'))
    LOOP
        EXECUTE format('REVOKE SELECT ON %s FROM denwright_service', found.name);
        EXECUTE (SELECT format('GRANT SELECT (%s) ON %s TO denwright_service',
                               string_agg(quote_ident(a.attname), ', ' ORDER BY a.attnum), found.name)
                 FROM pg_attribute a WHERE a.attrelid = found.oid AND a.attname <> ALL (secret) AND a.attnum > 0 AND NOT a.attisdropped);
    END LOOP;

    -- Functions: nobody's by themselves. Those that look past the walls find their tables where they are.
    FOR found IN
        SELECT p.oid::regprocedure AS name, p.proname, p.prorettype, p.prosecdef, p.proconfig
        FROM pg_proc p WHERE p.pronamespace = 'public'::regnamespace AND pg_has_role(current_user, p.proowner, 'USAGE')
          AND (has_function_privilege('public', p.oid, 'EXECUTE')
               OR (p.proname = ANY (internal) AND has_function_privilege('denwright_service', p.oid, 'EXECUTE'))
               OR (p.prosecdef AND NOT coalesce(array_to_string(p.proconfig, ',') LIKE '%search_path=%', false)))
    LOOP
        EXECUTE format('REVOKE ALL ON FUNCTION %s FROM PUBLIC', found.name);
        IF found.proname <> ALL (internal) AND found.prorettype <> 'trigger'::regtype THEN
            EXECUTE format('GRANT EXECUTE ON FUNCTION %s TO denwright_service', found.name);
        ELSE
            EXECUTE format('REVOKE ALL ON FUNCTION %s FROM denwright_service', found.name);
        END IF;
        IF found.prosecdef AND NOT coalesce(array_to_string(found.proconfig, ',') LIKE '%search_path=%', false) THEN
            EXECUTE format('ALTER FUNCTION %s SET search_path = public, pg_temp', found.name);
        END IF;
    END LOOP;
END $$;
