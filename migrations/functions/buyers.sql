-- Buyers: their accounts, and how one is forgotten.

-- What is owed for a dog: asked by readiness also for people who may not see the money itself.
CREATE OR REPLACE FUNCTION accounts_of(dogs uuid[])
RETURNS TABLE (dog_id uuid, kind text, price_minor bigint, currency text, balance_minor bigint, due_on date, paid_on date)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT p.dog_id, p.kind, p.price_minor, p.currency,
           coalesce(p.price_minor, 0) + coalesce(sum(CASE
               WHEN e.kind IN ('extra', 'refund') THEN e.amount_minor
               WHEN e.kind IS NULL THEN 0
               ELSE -e.amount_minor END), 0)::bigint,
           p.balance_due_on, max(e.paid_on) FILTER (WHERE e.kind IN ('deposit', 'payment'))
    FROM placements p LEFT JOIN payments e ON e.kennel_id = p.kennel_id AND e.placement_id = p.id
    WHERE p.kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND p.dog_id = ANY (dogs)
      AND p.stage IN ('reserved', 'confirmed', 'handed_over') AND p.kind IN ('sale', 'family', 'co_owner')
    GROUP BY p.kennel_id, p.id;
END $$;

-- `content` with every whole-word match of the pattern replaced.
CREATE OR REPLACE FUNCTION without_traces(content text, pattern text, flags text) RETURNS text LANGUAGE sql IMMUTABLE AS $$
    SELECT regexp_replace(content, pattern, '(erased)', flags)
$$;

-- A pattern of these texts as whole words, with any white space between their parts; null for none.
CREATE OR REPLACE FUNCTION traces_pattern(texts text[]) RETURNS text LANGUAGE sql IMMUTABLE AS $$
    SELECT '(?<!\w)(?:' || string_agg(
        regexp_replace(regexp_replace(trace, '([][\\.*+?^${}()|])', '\\\1', 'g'), '\s+', '\\s+', 'g'),
        -- Not the name of a member in JSON.
        '|' ORDER BY length(trace) DESC, trace) || ')(?!\w|": )'
    FROM unnest(texts) AS trace
$$;

-- Empties what is tied to a buyer, and takes the buyer's name and addresses out of every text of the
-- kennel and its log. Returns these, for what lies outside of the database. The buyer's own row has been
-- emptied before, which the log remembers until now.
CREATE OR REPLACE FUNCTION forget_buyer(buyer uuid) RETURNS SETOF text
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    kennel CONSTANT uuid := current_kennel();
    personal CONSTANT text[] := '{name,email,phone,address,household,screening,note,wishes,terms,label,title,snooze_reason}';
    -- Where a first name by itself means a person; elsewhere it may be a dog's, or a colour.
    about_people CONSTANT text[] := '{own_tasks,task_marks,booklet_links,placements,payments,follow_ups,buyer_reports,buyers,costs,rings}';
    placed uuid[]; dogs uuid[]; tied uuid[]; news uuid[]; reports uuid[];
    traces text[]; names text[];
    whole_pattern text; name_pattern text;
    place record;
BEGIN
    IF NOT has_right('managing') THEN
        RAISE EXCEPTION 'only an owner erases a buyer' USING ERRCODE = 'insufficient_privilege';
    END IF;

    -- All that was ever written down of the buyer, also in rows that are deleted.
    SELECT array_agg(DISTINCT id) INTO placed FROM (
        SELECT id FROM placements WHERE kennel_id = kennel AND buyer_id = buyer
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what = 'placement'
            AND buyer::text IN (before->>'buyer_id', after->>'buyer_id')) AS found;
    SELECT array_agg(DISTINCT dog) INTO dogs FROM (
        SELECT dog_id AS dog FROM placements WHERE kennel_id = kennel AND id = ANY (placed)
        UNION SELECT (coalesce(after, before)->>'dog_id')::uuid FROM changes
            WHERE kennel_id = kennel AND what = 'placement' AND row_id = ANY (placed)) AS found;
    SELECT array_agg(DISTINCT id) INTO news FROM (
        SELECT id FROM health_events WHERE kennel_id = kennel AND buyer_id = buyer
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what = 'health_event'
            AND buyer::text IN (before->>'buyer_id', after->>'buyer_id')) AS found;
    -- Reports of nobody about a dog that went to them alone are theirs.
    SELECT array_agg(DISTINCT id) INTO reports FROM (
        SELECT r.id FROM buyer_reports r WHERE r.kennel_id = kennel AND (r.buyer_id = buyer
            OR r.buyer_id IS NULL AND r.dog_id = ANY (dogs) AND NOT EXISTS (
                SELECT FROM placements p WHERE p.kennel_id = kennel AND p.dog_id = r.dog_id AND p.buyer_id <> buyer))
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what = 'buyer_report'
            AND buyer::text IN (before->>'buyer_id', after->>'buyer_id')) AS found;
    SELECT array_agg(DISTINCT btrim(trace)) INTO traces FROM (
        SELECT before AS content FROM changes WHERE kennel_id = kennel AND what = 'buyer' AND row_id = buyer
        UNION ALL SELECT after FROM changes WHERE kennel_id = kennel AND what = 'buyer' AND row_id = buyer) AS versions
    CROSS JOIN LATERAL unnest(ARRAY[content->>'name', content->>'email', content->>'phone']
        || string_to_array(content->>'address', E'\n')) AS trace
    WHERE length(btrim(trace)) >= 3 AND btrim(trace) <> '(erased)';
    SELECT array_agg(DISTINCT name) INTO names FROM (
        SELECT content->>'name' AS whole FROM (
            SELECT before AS content FROM changes WHERE kennel_id = kennel AND what = 'buyer' AND row_id = buyer
            UNION ALL SELECT after FROM changes WHERE kennel_id = kennel AND what = 'buyer' AND row_id = buyer) AS versions
        ) AS named CROSS JOIN LATERAL regexp_split_to_table(btrim(whole), '\s+') AS name
    WHERE length(name) >= 3 AND whole <> '(erased)';
    -- The kennel's own people stay named, should one of them be a buyer as well.
    traces := ARRAY(SELECT unnest(traces) EXCEPT SELECT t.own FROM kennel_people k JOIN people p ON p.id = k.person_id
        CROSS JOIN LATERAL unnest(ARRAY[p.name, p.email]) AS t (own) WHERE k.kennel_id = kennel);
    names := ARRAY(SELECT unnest(names) EXCEPT SELECT own FROM kennel_people k JOIN people p ON p.id = k.person_id
        CROSS JOIN LATERAL regexp_split_to_table(p.name, '\s+') AS own WHERE k.kennel_id = kennel);
    whole_pattern := traces_pattern(ARRAY(SELECT trace FROM unnest(traces) AS trace WHERE length(trace) >= 5));
    name_pattern := traces_pattern(names || traces);

    -- What is tied to the buyer is emptied, whatever it says.
    UPDATE placements SET terms = NULL, note = NULL
    WHERE kennel_id = kennel AND id = ANY (placed) AND (terms IS NOT NULL OR note IS NOT NULL);
    UPDATE payments SET note = NULL WHERE kennel_id = kennel AND placement_id = ANY (placed) AND note IS NOT NULL;
    UPDATE follow_ups SET note = NULL WHERE kennel_id = kennel AND placement_id = ANY (placed) AND note IS NOT NULL;
    UPDATE health_events SET buyer_id = NULL, note = NULL WHERE kennel_id = kennel AND id = ANY (news);
    -- What they told goes whole; what the kennel took of it into the record of the dog stays, as the dog's.
    DELETE FROM buyer_reports WHERE kennel_id = kennel AND id = ANY (reports);
    UPDATE booklet_links l SET label = NULL
    WHERE kennel_id = kennel AND dog_id = ANY (dogs) AND label IS NOT NULL AND NOT EXISTS (
        SELECT FROM placements p WHERE p.kennel_id = kennel AND p.dog_id = l.dog_id AND p.buyer_id <> buyer);
    UPDATE own_tasks t SET title = '(erased)', note = NULL
    WHERE kennel_id = kennel AND EXISTS (
        SELECT FROM placements p WHERE p.kennel_id = kennel AND p.id = ANY (placed) AND p.dog_id = t.dog_id
        AND p.created_at <= t.created_at);
    UPDATE task_marks SET snooze_reason = NULL
    WHERE kennel_id = kennel AND snooze_reason IS NOT NULL AND split_part(key, ':', 2) = ANY (placed::text[]);

    -- Under a picture of their pup a first name is theirs.
    IF name_pattern IS NOT NULL THEN
        UPDATE attachments SET caption = without_traces(caption, name_pattern, 'gi')
        WHERE kennel_id = kennel AND dog_id = ANY (dogs) AND caption ~* name_pattern;
    END IF;

    -- Everywhere else the buyer's name and addresses go.
    FOR place IN
        SELECT c.relname AS name, a.attname AS field, format_type(a.atttypid, NULL) AS kind
        FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid
        WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'
          AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = '' AND a.atttypid IN ('text'::regtype, 'jsonb'::regtype)
          AND c.relname NOT IN ('changes', 'kennels', 'memberships')
          AND EXISTS (SELECT FROM pg_attribute k WHERE k.attrelid = c.oid AND k.attname = 'kennel_id')
          -- Words of a list and codes name nobody.
          AND NOT EXISTS (SELECT FROM pg_constraint r WHERE r.conrelid = c.oid AND r.contype = 'c' AND r.conkey = ARRAY[a.attnum]
                          AND (pg_get_constraintdef(r.oid) LIKE '%= ANY (ARRAY%' OR pg_get_constraintdef(r.oid) LIKE '% ~ %'))
        ORDER BY 1, 2
    LOOP
        IF whole_pattern IS NOT NULL THEN
            EXECUTE format('UPDATE %1$I SET %2$I = without_traces(%2$I::text, $2, ''gi'')::%3$s WHERE kennel_id = $1 AND %2$I::text ~* $2',
                place.name, place.field, place.kind) USING kennel, whole_pattern;
        END IF;
        IF name_pattern IS NOT NULL AND place.name = ANY (about_people)
           AND (place.name, place.field) NOT IN (('buyers', 'name'), ('buyers', 'email')) THEN
            EXECUTE format('UPDATE %1$I SET %2$I = without_traces(%2$I::text, $2, ''gi'')::%3$s WHERE kennel_id = $1 AND %2$I::text ~* $2',
                place.name, place.field, place.kind) USING kennel, name_pattern;
        END IF;
    END LOOP;

    -- The log last, since all of this was a change.
    PERFORM forget_reports(kennel, reports);
    SELECT array_agg(DISTINCT id) INTO tied FROM (
        SELECT unnest(ARRAY[buyer] || placed || news) AS id
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what IN ('payment', 'follow_up')
            AND (coalesce(after, before)->>'placement_id')::uuid = ANY (placed)
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what = 'booklet_link' AND row_id IN (
            SELECT id FROM booklet_links WHERE kennel_id = kennel AND dog_id = ANY (dogs) AND label IS NULL)
        -- Links and tasks about the pup that are gone.
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what IN ('booklet_link', 'own_task') AND action = 'deleted'
            AND (before->>'dog_id')::uuid = ANY (dogs)
        UNION SELECT id FROM own_tasks WHERE kennel_id = kennel AND dog_id = ANY (dogs) AND title = '(erased)'
        UNION SELECT row_id FROM changes WHERE kennel_id = kennel AND what = 'task_mark'
            AND split_part(coalesce(after, before)->>'key', ':', 2) = ANY (placed::text[])) AS found;
    UPDATE changes SET before = before - personal, after = after - personal
    WHERE kennel_id = kennel AND row_id = ANY (tied) AND what <> 'health_event';
    UPDATE changes SET before = before - '{buyer_id,note}'::text[], after = after - '{buyer_id,note}'::text[]
    WHERE kennel_id = kennel AND row_id = ANY (news) AND what = 'health_event';
    IF whole_pattern IS NOT NULL THEN
        UPDATE changes SET before = without_traces(before::text, whole_pattern, 'gi')::jsonb,
                           after = without_traces(after::text, whole_pattern, 'gi')::jsonb
        WHERE kennel_id = kennel AND (before::text ~* whole_pattern OR after::text ~* whole_pattern);
    END IF;
    IF name_pattern IS NOT NULL THEN
        UPDATE changes SET before = without_traces(before::text, name_pattern, 'gi')::jsonb,
                           after = without_traces(after::text, name_pattern, 'gi')::jsonb
        WHERE kennel_id = kennel AND (before::text ~* name_pattern OR after::text ~* name_pattern)
          AND (what IN ('own_task', 'task_mark', 'booklet_link', 'placement', 'payment', 'follow_up', 'cost')
               OR what = 'attachment' AND (coalesce(after, before)->>'dog_id')::uuid = ANY (dogs));
    END IF;

    -- Answers kept for repeats belong to persons, not to kennels: those of the kennel's own people.
    DELETE FROM idempotency_keys a USING kennel_people k
    WHERE k.kennel_id = kennel AND a.person_id = k.person_id
      AND EXISTS (SELECT FROM unnest(tied) AS id WHERE strpos(a.body::text, id::text) > 0);
    IF name_pattern IS NOT NULL THEN
        UPDATE idempotency_keys a SET body = without_traces(a.body::text, name_pattern, 'gi')::jsonb FROM kennel_people k
        WHERE k.kennel_id = kennel AND a.person_id = k.person_id AND a.body::text ~* name_pattern;
    END IF;
    IF whole_pattern IS NOT NULL THEN
        UPDATE idempotency_keys a SET body = without_traces(a.body::text, whole_pattern, 'gi')::jsonb FROM kennel_people k
        WHERE k.kennel_id = kennel AND a.person_id = k.person_id AND a.body::text ~* whole_pattern;
    END IF;
    RETURN QUERY SELECT unnest(traces);
END $$;
