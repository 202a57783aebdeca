-- The steps before know the kennel of a wall bare.
DO $$
DECLARE found record; qual text;
BEGIN
    FOR found IN
        SELECT p.polname, p.polrelid::regclass AS name, pg_get_expr(p.polqual, p.polrelid) AS qual
        FROM pg_policy p JOIN pg_class c ON c.oid = p.polrelid WHERE c.relnamespace = 'public'::regnamespace
    LOOP
        qual := regexp_replace(found.qual,
            'COALESCE\((\(kennel_id = \(\s*SELECT proven_scope\.kennel\s+FROM proven_scope\s+WHERE proven_scope\.all_dogs\)\)), false\)', '\1');
        IF qual IS DISTINCT FROM found.qual THEN
            EXECUTE format('ALTER POLICY %I ON %s USING (%s)', found.polname, found.name, qual);
        END IF;
    END LOOP;
END $$;
