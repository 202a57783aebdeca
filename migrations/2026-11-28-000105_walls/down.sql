ALTER DEFAULT PRIVILEGES GRANT EXECUTE ON FUNCTIONS TO PUBLIC;
ALTER DEFAULT PRIVILEGES IN SCHEMA public REVOKE EXECUTE ON FUNCTIONS FROM denwright_service;
DROP FUNCTION finish_walls();

DO $$
DECLARE found record; qual text; checked text;
    back CONSTANT text[] := '{kennel,current_kennel(),person,current_person(),all_dogs,sees_all(),prices,sees_money(),
        may_observations,has_right(''observations''),may_breeding,has_right(''breeding''),may_placing,has_right(''placing''),
        may_money,has_right(''money''),may_managing,has_right(''managing'')}';
BEGIN
    FOR found IN
        SELECT p.polname, p.polrelid::regclass AS name, pg_get_expr(p.polqual, p.polrelid) AS qual,
               pg_get_expr(p.polwithcheck, p.polrelid) AS with_check
        FROM pg_policy p JOIN pg_class c ON c.oid = p.polrelid
        WHERE c.relnamespace = 'public'::regnamespace AND p.polname <> 'at_upkeep'
    LOOP
        qual := found.qual;
        checked := found.with_check;
        -- What asks_once() has turned round first.
        qual := regexp_replace(qual, '^\(\(kennel_id = \( SELECT proven_scope\.kennel\s+FROM proven_scope\s+WHERE proven_scope\.all_dogs\)\) OR '
            || '\(\(kennel_id = \( SELECT proven_scope\.kennel\s+FROM proven_scope\)\) AND (\(.*\))\)\)$',
            '((kennel_id = ( SELECT proven_scope.kennel FROM proven_scope)) AND (( SELECT proven_scope.all_dogs FROM proven_scope) OR \1))');
        FOR at IN 1 .. cardinality(back) BY 2 LOOP
            qual := regexp_replace(qual, '\( SELECT proven_scope\.' || back[at] || '\s+FROM proven_scope\)', back[at + 1], 'g');
            checked := regexp_replace(checked, '\( SELECT proven_scope\.' || back[at] || '\s+FROM proven_scope\)', back[at + 1], 'g');
        END LOOP;
        EXECUTE format('ALTER POLICY %I ON %s TO PUBLIC', found.polname, found.name)
            || coalesce(' USING (' || qual || ')', '') || coalesce(' WITH CHECK (' || checked || ')', '');
    END LOOP;
    FOR found IN
        SELECT c.oid::regclass AS name FROM pg_class c JOIN pg_policy p ON p.polrelid = c.oid AND p.polname = 'at_upkeep'
        WHERE c.relnamespace = 'public'::regnamespace
    LOOP
        EXECUTE format('DROP POLICY at_upkeep ON %s', found.name);
        EXECUTE format('ALTER TABLE %s NO FORCE ROW LEVEL SECURITY', found.name);
    END LOOP;
    FOR found IN
        SELECT c.oid::regclass AS name FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
    LOOP
        EXECUTE format('REVOKE SELECT ON %s FROM denwright_upkeep', found.name);
    END LOOP;
    FOR found IN SELECT p.oid::regprocedure AS name FROM pg_proc p WHERE p.pronamespace = 'public'::regnamespace LOOP
        EXECUTE format('GRANT EXECUTE ON FUNCTION %s TO PUBLIC', found.name);
    END LOOP;
END $$;
GRANT SELECT ON invitations, access_tokens, calendar_links, booklet_links, webhooks TO denwright_service;
