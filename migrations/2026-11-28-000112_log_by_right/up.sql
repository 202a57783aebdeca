-- Each word of the log of changes belongs to a right, so that the log tells no more than a direct read.

-- In the order of the service's own list.
CREATE FUNCTION all_rights() RETURNS text[] LANGUAGE sql IMMUTABLE PARALLEL SAFE
    AS $$ SELECT '{dogs,observations,breeding,placing,money,managing}'::text[] $$;
-- Those of the running transaction. Whoever is in a kennel reads its dogs.
CREATE FUNCTION rights() RETURNS text[] LANGUAGE sql STABLE
    AS $$ SELECT ARRAY(SELECT r FROM unnest(all_rights()) AS r WHERE r = 'dogs' OR has_right(r)) $$;
-- An owner's, of whom no token takes away a part.
CREATE FUNCTION has_all_rights() RETURNS boolean LANGUAGE sql STABLE AS $$ SELECT all_rights() <@ rights() $$;

-- Walls that hold what a direct read asks for.
DROP POLICY of_kennel ON changes;
ALTER POLICY of_kennel ON payments USING (kennel_id = current_kennel() AND (SELECT has_right('money'))
    AND ((SELECT sees_all()) OR placement_id IN (SELECT id FROM placements)));
ALTER POLICY of_kennel ON costs USING (kennel_id = current_kennel() AND (SELECT has_right('money'))
    AND ((SELECT sees_all()) OR litter_id IN (SELECT id FROM litters)));
ALTER POLICY of_kennel ON shares USING (kennel_id = current_kennel() AND (SELECT has_right('money'))
    AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs())));
ALTER POLICY of_kennel ON follow_ups USING (kennel_id = current_kennel() AND (SELECT has_right('placing'))
    AND ((SELECT sees_all()) OR placement_id IN (SELECT id FROM placements)));
ALTER POLICY of_kennel ON booklet_links USING (kennel_id = current_kennel() AND (SELECT has_right('placing'))
    AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs())));
ALTER POLICY of_kennel ON invitations USING (kennel_id = current_kennel() AND (SELECT has_right('managing')));
ALTER POLICY of_kennel ON webhooks USING (kennel_id = current_kennel() AND (SELECT has_right('managing')));
ALTER POLICY of_kennel ON webhook_deliveries USING (kennel_id = current_kennel() AND (SELECT has_right('managing')));
ALTER POLICY of_kennel ON access_tokens USING (kennel_id = current_kennel()
    AND (person_id = current_person() OR (SELECT has_right('managing'))));
ALTER POLICY of_kennel ON calendar_links USING (kennel_id = current_kennel()
    AND (person_id = current_person() OR (SELECT has_right('managing'))));
-- What was done about a call to a new owner is read by those who place pups, as the call is.
ALTER POLICY of_kennel ON task_marks USING (kennel_id = current_kennel()
    AND ((SELECT sees_all()) OR ((litter_id IS NULL OR litter_id IN (SELECT id FROM litters))
                                 AND (dog_id IS NULL OR dog_id IN (SELECT my_dogs()))))
    AND (key NOT LIKE 'placement:%' OR (SELECT has_right('placing'))));

-- What each word of the log needs to be read: the right that a direct read of its rows needs. `wide` rows
-- that name no dog and no litter are everybody's in the kennel. A word that is not here is told to nobody
-- but those who have all rights.
CREATE TABLE log_words (
    word  text PRIMARY KEY,
    needs text NOT NULL CHECK (needs IN ('dogs', 'observations', 'breeding', 'placing', 'money', 'managing')),
    wide  boolean NOT NULL
);
-- Fields that need a further right; without it they are told as null.
CREATE TABLE log_fields (
    word  text NOT NULL REFERENCES log_words,
    field text NOT NULL,
    needs text NOT NULL CHECK (needs IN ('dogs', 'observations', 'breeding', 'placing', 'money', 'managing')),
    PRIMARY KEY (word, field)
);
GRANT SELECT ON log_words, log_fields TO denwright_service;
INSERT INTO log_words (word, needs, wide) VALUES
    ('absence', 'dogs', true),
    ('access_token', 'managing', false),
    ('birth', 'dogs', false),
    ('booklet_link', 'placing', false),
    ('booklet_text', 'dogs', true),
    ('buyer', 'dogs', false),
    ('calendar_link', 'managing', false),
    ('cost', 'money', false),
    ('dam_check', 'dogs', false),
    ('dog', 'dogs', false),
    ('feed', 'dogs', false),
    ('follow_up', 'placing', false),
    ('genotype_test', 'dogs', false),
    ('health_event', 'dogs', false),
    ('health_plan', 'dogs', true),
    ('health_plan_version', 'dogs', true),
    ('heat', 'dogs', false),
    ('heat_reading', 'dogs', false),
    ('invitation', 'managing', false),
    ('kennel', 'dogs', true),
    ('litter', 'dogs', false),
    ('litter_plan', 'dogs', false),
    ('mating', 'dogs', false),
    ('member', 'dogs', true),
    ('own_task', 'dogs', true),
    ('paper', 'dogs', false),
    ('payment', 'money', false),
    ('place', 'dogs', true),
    ('placement', 'dogs', false),
    ('planner_settings', 'dogs', true),
    ('pregnancy_check', 'dogs', false),
    ('preparation_template', 'dogs', true),
    ('readiness_override', 'dogs', false),
    ('readiness_rules', 'dogs', true),
    ('rule_override', 'dogs', true),
    ('share', 'money', false),
    ('supply', 'dogs', true),
    ('task_mark', 'dogs', true),
    ('temperature', 'dogs', false),
    ('webhook', 'managing', false),
    ('weight', 'dogs', false),
    ('whelping_line', 'dogs', false);
INSERT INTO log_fields (word, field, needs) VALUES
    ('buyer', 'email', 'placing'),
    ('buyer', 'phone', 'placing'),
    ('buyer', 'address', 'placing'),
    ('buyer', 'household', 'placing'),
    ('buyer', 'screening', 'placing'),
    ('buyer', 'note', 'placing'),
    ('placement', 'price_minor', 'money'),
    ('placement', 'currency', 'money'),
    ('placement', 'balance_due_on', 'money'),
    ('placement', 'terms', 'placing'),
    ('placement', 'note', 'placing');

-- Whose an entry is: the dogs that the row is about after the write, and before it where they differ.
ALTER TABLE changes
    ADD COLUMN was_dog_ids uuid[],
    ADD COLUMN wide boolean NOT NULL DEFAULT false;
UPDATE changes SET wide = true
WHERE what IN (SELECT word FROM log_words WHERE log_words.wide) AND row_id IS NOT NULL
  AND coalesce(after, before)->>'dog_id' IS NULL AND coalesce(after, before)->>'litter_id' IS NULL;

-- The dogs that a logged row is about: its own, or those of the row that it hangs on.
CREATE FUNCTION dogs_of_row(kennel uuid, what text, content jsonb) RETURNS uuid[]
LANGUAGE plpgsql STABLE AS $$
DECLARE
    own uuid[];
    litter uuid := (content->>'litter_id')::uuid;
BEGIN
    IF what = 'dog' THEN
        RETURN ARRAY[(content->>'id')::uuid];
    END IF;
    own := array_remove(
        ARRAY[(content->>'dog_id')::uuid, (content->>'dam_id')::uuid, (content->>'sire_id')::uuid], NULL);
    IF litter IS NOT NULL AND what <> 'birth' THEN
        RETURN coalesce((
            SELECT CASE
                -- A task about a dog and a litter is seen by those who see both.
                WHEN content->>'dog_id' IS NULL OR (content->>'dog_id')::uuid IN (l.dam_id, l.sire_id) OR EXISTS (
                    SELECT FROM births b
                    WHERE b.kennel_id = l.kennel_id AND b.litter_id = l.id AND b.dog_id = (content->>'dog_id')::uuid)
                THEN array_remove(ARRAY[l.dam_id, l.sire_id], NULL) ELSE '{}' END
            FROM litters l WHERE l.kennel_id = kennel AND l.id = litter), '{}');
    END IF;
    IF own <> '{}' THEN
        RETURN own;
    END IF;
    RETURN coalesce(CASE what
        WHEN 'heat_reading' THEN
            (SELECT ARRAY[h.dog_id] FROM heats h WHERE h.kennel_id = kennel AND h.id = (content->>'heat_id')::uuid)
        WHEN 'pregnancy_check' THEN
            (SELECT ARRAY[m.dam_id, m.sire_id] FROM matings m
             WHERE m.kennel_id = kennel AND m.id = (content->>'mating_id')::uuid)
        WHEN 'payment' THEN
            (SELECT ARRAY[p.dog_id] FROM placements p
             WHERE p.kennel_id = kennel AND p.id = (content->>'placement_id')::uuid)
        WHEN 'follow_up' THEN
            (SELECT ARRAY[p.dog_id] FROM placements p
             WHERE p.kennel_id = kennel AND p.id = (content->>'placement_id')::uuid)
        END, '{}');
END $$;
UPDATE changes SET dog_ids = dogs_of_row(kennel_id, what, coalesce(after, before))
WHERE dog_ids = '{}' AND row_id IS NOT NULL
  AND what IN ('heat_reading', 'pregnancy_check', 'payment', 'follow_up', 'litter_plan', 'cost', 'own_task', 'task_mark');
CREATE FUNCTION names_nobody(content jsonb) RETURNS boolean LANGUAGE sql IMMUTABLE AS $$
    SELECT content->>'dog_id' IS NULL AND content->>'litter_id' IS NULL
$$;

CREATE OR REPLACE FUNCTION log_created() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    kennel uuid; count bigint; base bigint;
    who CONSTANT uuid := current_person();
    is_wide boolean := coalesce((SELECT w.wide FROM log_words w WHERE w.word = TG_ARGV[0]), false);
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM new_rows GROUP BY kennel_id LOOP
        IF current_setting('denwright.import', true) = 'yes' THEN
            base := next_changes(kennel, 1);
            INSERT INTO changes (kennel_id, sequence, person_id, what, action, after)
            VALUES (kennel, base + 1, who, TG_ARGV[0], 'imported', jsonb_build_object('rows', count));
        ELSE
            base := next_changes(kennel, count);
            INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, after, dog_ids, wide)
            SELECT kennel, base + row_number() OVER (ORDER BY id), who, TG_ARGV[0], id, 'created',
                   content, dogs_of_row(kennel, TG_ARGV[0], content), is_wide AND names_nobody(content)
            FROM (SELECT id, logged(to_jsonb(n)) AS content FROM new_rows n WHERE kennel_id = kennel) AS logged;
        END IF;
    END LOOP;
    RETURN NULL;
END $$;
CREATE OR REPLACE FUNCTION log_changed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    kennel uuid; count bigint; base bigint;
    who CONSTANT uuid := current_person();
    is_wide boolean := coalesce((SELECT w.wide FROM log_words w WHERE w.word = TG_ARGV[0]), false);
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM new_rows GROUP BY kennel_id LOOP
        base := next_changes(kennel, count);
        INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, after, dog_ids, was_dog_ids, wide)
        SELECT kennel, base + row_number() OVER (ORDER BY pairs.id), who, TG_ARGV[0], pairs.id, 'changed',
               old_content, new_content, new_dogs,
               CASE WHEN old_dogs <> new_dogs OR names_nobody(old_content) <> names_nobody(new_content) THEN old_dogs END,
               is_wide AND names_nobody(new_content)
        FROM (
            SELECT id, logged(to_jsonb(o)) AS old_content, logged(to_jsonb(n)) AS new_content,
                   dogs_of_row(kennel, TG_ARGV[0], to_jsonb(o)) AS old_dogs,
                   dogs_of_row(kennel, TG_ARGV[0], to_jsonb(n)) AS new_dogs
            FROM new_rows n JOIN old_rows o USING (kennel_id, id) WHERE kennel_id = kennel) AS pairs;
    END LOOP;
    RETURN NULL;
END $$;
CREATE OR REPLACE FUNCTION log_deleted() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    kennel uuid; count bigint; base bigint;
    who CONSTANT uuid := current_person();
    is_wide boolean := coalesce((SELECT w.wide FROM log_words w WHERE w.word = TG_ARGV[0]), false);
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM old_rows GROUP BY kennel_id LOOP
        base := next_changes(kennel, count);
        INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, dog_ids, wide)
        SELECT kennel, base + row_number() OVER (ORDER BY id), who, TG_ARGV[0], id, 'deleted',
               content, dogs_of_row(kennel, TG_ARGV[0], content), is_wide AND names_nobody(content)
        FROM (SELECT id, logged(to_jsonb(o)) AS content FROM old_rows o WHERE kennel_id = kennel) AS logged;
    END LOOP;
    RETURN NULL;
END $$;
DROP FUNCTION dogs_of_row(text, jsonb);

-- An entry is told when its word is, and when it is about a dog that the person sees, or about none.
CREATE POLICY of_kennel ON changes USING (
    kennel_id = current_kennel()
    AND ((SELECT has_all_rights()) OR what IN (SELECT word FROM log_words WHERE needs = ANY ((SELECT rights())::text[])))
    AND ((SELECT sees_all()) OR wide
         OR dog_ids && ARRAY(SELECT my_dogs()) OR was_dog_ids && ARRAY(SELECT my_dogs())
         OR (what = 'buyer' AND row_id IN (SELECT id FROM buyers)))
    AND (what <> 'task_mark' OR coalesce(after, before)->>'key' NOT LIKE 'placement:%' OR (SELECT has_right('placing')))
);

-- The content of a row as it is told to somebody with these rights: null when its word is not told to
-- them, and without the fields that need more.
CREATE FUNCTION told(word text, content jsonb, rights text[]) RETURNS jsonb LANGUAGE plpgsql STABLE AS $$
BEGIN
    IF all_rights() <@ rights THEN
        RETURN content;
    END IF;
    IF NOT EXISTS (SELECT FROM log_words w WHERE w.word = told.word AND w.needs = ANY (rights)) THEN
        RETURN NULL;
    END IF;
    RETURN content || coalesce(
        (SELECT jsonb_object_agg(f.field, NULL::text) FROM log_fields f
         WHERE f.word = told.word AND f.needs <> ALL (rights) AND content ? f.field), '{}');
END $$;
-- The two halves of an entry that the policy lets through, as they are read with these rights. Of a row that
-- was moved from one dog to another, who does not see all dogs is told the half of the dog that they see.
CREATE FUNCTION told_before(entry changes, rights text[], all_dogs boolean) RETURNS jsonb LANGUAGE plpgsql STABLE AS $$
BEGIN
    IF NOT all_dogs AND NOT coalesce(entry.was_dog_ids && ARRAY(SELECT my_dogs()), true) THEN
        RETURN NULL;
    END IF;
    RETURN told(entry.what, entry.before, rights);
END $$;
CREATE FUNCTION told_after(entry changes, rights text[], all_dogs boolean) RETURNS jsonb LANGUAGE plpgsql STABLE AS $$
BEGIN
    IF NOT all_dogs AND entry.was_dog_ids IS NOT NULL AND NOT entry.wide
       AND NOT entry.dog_ids && ARRAY(SELECT my_dogs()) THEN
        RETURN NULL;
    END IF;
    RETURN told(entry.what, entry.after, rights);
END $$;

-- A change as a webhook is told it: whose it is serves the database alone.
CREATE FUNCTION change_told(entry changes) RETURNS jsonb LANGUAGE sql STABLE AS $$
    SELECT to_jsonb(entry) - '{dog_ids,was_dog_ids,wide}'::text[]
$$;
CREATE OR REPLACE FUNCTION claim_webhook_deliveries(most integer, lease_seconds integer)
RETURNS TABLE (kennel_id uuid, id uuid, url text, secret bytea, attempts integer, event text, at timestamptz, content jsonb)
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH due AS (
        SELECT d.kennel_id, d.id FROM webhook_deliveries d
        WHERE d.status = 'waiting' AND (d.next_at <= now() OR d.next_at > now() + interval '2 days')
        ORDER BY d.next_at LIMIT most FOR UPDATE SKIP LOCKED
    ), claimed AS (
        UPDATE webhook_deliveries d
        SET attempts = d.attempts + 1, next_at = now() + interval '1 second' * lease_seconds
        FROM due WHERE d.kennel_id = due.kennel_id AND d.id = due.id
        RETURNING d.kennel_id, d.id, d.webhook_id, d.sequence, d.event, d.attempts
    )
    SELECT c.kennel_id, c.id, w.url, w.secret, c.attempts, c.event, h.at, change_told(h)
    FROM claimed c
    JOIN webhooks w ON w.kennel_id = c.kennel_id AND w.id = c.webhook_id
    JOIN changes h ON h.kennel_id = c.kennel_id AND h.sequence = c.sequence
$$;
