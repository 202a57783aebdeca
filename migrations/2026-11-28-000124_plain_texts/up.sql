-- Texts hold no control characters any more. What was kept with some is kept without them, so that it can be
-- changed, and come back in an archive: lines end with LF where there are lines, all else becomes a blank.
DO $$
DECLARE
    kept record;
    several CONSTANT text[] := '{note,address,household,screening,terms,reaction,reason,welcome,feeding,care,contact}';
    refused CONSTANT text := '[\u0001-\u0009\u000b-\u001f\u007f-\u009f\u2028-\u202e\u2066-\u2069]';
    lines text;
BEGIN
    FOR kept IN
        SELECT c.table_name AS name, array_agg(c.column_name::text) AS columns
        FROM information_schema.columns c
        JOIN pg_trigger t ON t.tgrelid = format('public.%I', c.table_name)::regclass AND t.tgname = 'next_version'
        WHERE c.table_schema = 'public' AND c.data_type = 'text' AND c.column_name <> 'logo_svg'
          AND c.is_generated = 'NEVER'
        GROUP BY c.table_name
    LOOP
        EXECUTE format('ALTER TABLE %I DISABLE TRIGGER USER', kept.name);
        FOR place IN 1 .. array_length(kept.columns, 1) LOOP
            lines := CASE WHEN kept.columns[place] = ANY (several) THEN refused ELSE replace(refused, '\u0009\u000b-', '') END;
            EXECUTE format(
                'UPDATE %1$I SET %2$I = regexp_replace(replace(replace(%2$I, E''\r\n'', E''\n''), E''\r'', E''\n''), %3$L, '' '', ''g'') WHERE %2$I ~ %3$L OR %2$I LIKE E''%%\r%%''',
                kept.name, kept.columns[place], lines);
        END LOOP;
        EXECUTE format('ALTER TABLE %I ENABLE TRIGGER USER', kept.name);
    END LOOP;
END $$;
