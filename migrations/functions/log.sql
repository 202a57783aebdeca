-- The log of changes: how it is written, and what is told of it to whom.

-- ---------------------------------------------------------------------------------------------------------
-- Writing it.

-- Takes the next `count` numbers of the kennel's log, and with them the lock that every writer takes first.
CREATE OR REPLACE FUNCTION next_changes(kennel uuid, count bigint) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE last bigint;
BEGIN
    INSERT INTO change_heads AS head (kennel_id, sequence) VALUES (kennel, count)
        ON CONFLICT (kennel_id) DO UPDATE SET sequence = head.sequence + count
        RETURNING sequence INTO last;
    PERFORM pg_notify('denwright_changes', kennel::text);
    RETURN last - count;
END $$;

-- A row of a litter is logged with the dam, so that her co-owners see it in the log of changes.
CREATE OR REPLACE FUNCTION take_dam() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    SELECT dam_id INTO NEW.dam_id FROM litters WHERE kennel_id = NEW.kennel_id AND id = NEW.litter_id;
    RETURN NEW;
END $$;

-- The dogs that a logged row is about: its own, or those of the row that it hangs on.
CREATE OR REPLACE FUNCTION dogs_of_row(kennel uuid, what text, content jsonb) RETURNS uuid[]
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
        WHEN 'attachment' THEN
            (SELECT ARRAY[p.dog_id] FROM placements p
             WHERE p.kennel_id = kennel AND p.id = (content->>'placement_id')::uuid)
        WHEN 'payment' THEN
            (SELECT ARRAY[p.dog_id] FROM placements p
             WHERE p.kennel_id = kennel AND p.id = (content->>'placement_id')::uuid)
        WHEN 'follow_up' THEN
            (SELECT ARRAY[p.dog_id] FROM placements p
             WHERE p.kennel_id = kennel AND p.id = (content->>'placement_id')::uuid)
        END, '{}');
END $$;

-- Whether a row names neither a dog nor a litter: with a `wide` word it is everybody's in the kennel.
CREATE OR REPLACE FUNCTION names_nobody(content jsonb) RETURNS boolean LANGUAGE sql IMMUTABLE AS $$
    SELECT content->>'dog_id' IS NULL AND content->>'litter_id' IS NULL
$$;

-- Whether the transaction clears away a kennel that has ended, and so belongs to nobody (leaving.sql).
CREATE OR REPLACE FUNCTION kennel_is_cleared() RETURNS boolean
LANGUAGE plpgsql STABLE SET search_path = public, pg_temp AS $$
BEGIN
    RETURN coalesce((SELECT strpos(s.rights, 'X') > 0 FROM proven_scope s), false);
END $$;

-- A row as it is logged: without secrets, and without what serves the database alone.
CREATE OR REPLACE FUNCTION logged(content jsonb) RETURNS jsonb LANGUAGE sql IMMUTABLE AS $$
    SELECT content - '{kennel_id,token_hash,secret,dog_sex,dam_sex,sire_sex,search_words}'::text[]
$$;

-- One entry a row and statement. An import writes a single entry for all the rows it creates
-- (a created row holds nothing that the row itself does not), but each row that it changes.
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
            -- OFFSET: else each content would be made at every place that names it.
            INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, after, dog_ids, wide)
            SELECT kennel, base + row_number() OVER (ORDER BY id), who, TG_ARGV[0], id, 'created',
                   content, dogs_of_row(kennel, TG_ARGV[0], content), is_wide AND names_nobody(content)
            FROM (SELECT id, logged(to_jsonb(n)) AS content FROM new_rows n WHERE kennel_id = kennel OFFSET 0) AS logged;
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
            FROM new_rows n JOIN old_rows o USING (kennel_id, id) WHERE kennel_id = kennel OFFSET 0) AS pairs;
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
    -- The log goes with its kennel.
    IF kennel_is_cleared() THEN
        RETURN NULL;
    END IF;
    FOR kennel, count IN SELECT kennel_id, count(*) FROM old_rows GROUP BY kennel_id LOOP
        base := next_changes(kennel, count);
        INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, dog_ids, wide)
        SELECT kennel, base + row_number() OVER (ORDER BY id), who, TG_ARGV[0], id, 'deleted',
               content, dogs_of_row(kennel, TG_ARGV[0], content), is_wide AND names_nobody(content)
        FROM (SELECT id, logged(to_jsonb(o)) AS content FROM old_rows o WHERE kennel_id = kennel OFFSET 0) AS logged;
    END LOOP;
    RETURN NULL;
END $$;

-- A stream of changes that is idle asks nothing: whoever ends a person's sessions wakes their streams.
CREATE OR REPLACE FUNCTION wake_person() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM pg_notify('denwright_changes', NEW.id::text);
    RETURN NULL;
END $$;

-- A person's name stands in the answers of each kennel that they were ever in, and is no change of the kennel: how
-- often one of them was renamed is counted beside the newest change.
CREATE OR REPLACE FUNCTION person_renamed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE change_heads h SET renamings = h.renamings + 1
    WHERE h.kennel_id IN (SELECT k.kennel_id FROM kennel_people k WHERE k.person_id = NEW.id);
    RETURN NULL;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- Telling it.

-- In the order of the service's own list.
CREATE OR REPLACE FUNCTION all_rights() RETURNS text[] LANGUAGE sql IMMUTABLE PARALLEL SAFE
    AS $$ SELECT '{dogs,observations,breeding,placing,money,managing}'::text[] $$;

-- Those of the running transaction. Whoever is in a kennel reads its dogs.
CREATE OR REPLACE FUNCTION rights() RETURNS text[] LANGUAGE sql STABLE
    AS $$ SELECT ARRAY(SELECT r FROM unnest(all_rights()) AS r WHERE r = 'dogs' OR has_right(r)) $$;

-- An owner's, of whom no token takes away a part.
CREATE OR REPLACE FUNCTION has_all_rights() RETURNS boolean LANGUAGE sql STABLE AS $$ SELECT all_rights() <@ rights() $$;

-- The content of a row as it is told to somebody with these rights: null when its word is not told to
-- them, and without the fields that need more.
CREATE OR REPLACE FUNCTION told(word text, content jsonb, rights text[]) RETURNS jsonb LANGUAGE plpgsql STABLE AS $$
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
CREATE OR REPLACE FUNCTION told_before(entry changes, rights text[], all_dogs boolean) RETURNS jsonb LANGUAGE plpgsql STABLE AS $$
BEGIN
    IF NOT all_dogs AND NOT coalesce(entry.was_dog_ids && ARRAY(SELECT my_dogs()), true) THEN
        RETURN NULL;
    END IF;
    RETURN told(entry.what, entry.before, rights);
END $$;

CREATE OR REPLACE FUNCTION told_after(entry changes, rights text[], all_dogs boolean) RETURNS jsonb LANGUAGE plpgsql STABLE AS $$
BEGIN
    IF NOT all_dogs AND entry.was_dog_ids IS NOT NULL AND NOT entry.wide
       AND NOT entry.dog_ids && ARRAY(SELECT my_dogs()) THEN
        RETURN NULL;
    END IF;
    RETURN told(entry.what, entry.after, rights);
END $$;

-- What the log calls rows, so that a webhook is not set for words that never come.
CREATE OR REPLACE FUNCTION logged_words() RETURNS SETOF text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT DISTINCT convert_from(btrim(tgargs, '\x00'), 'UTF8') FROM pg_trigger WHERE tgname = 'log_created'
    UNION SELECT 'alarm'
$$;

-- For who remembers weights up to a number of the log: the newest one, and whose weights changed since. Without a
-- number, or where too much has changed or was imported, which is not told row by row, all have to be read anew:
-- `dogs` is null. No row to who does not see all dogs, nor where the transaction has written: what it has written
-- it may yet undo, and then others get its numbers.
CREATE OR REPLACE FUNCTION dogs_weighed_since(since bigint) RETURNS TABLE (newest bigint, dogs uuid[])
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    most CONSTANT bigint := 1000;
    entered CONSTANT uuid := (SELECT s.kennel FROM proven_scope s WHERE s.all_dogs);
    last bigint; changed uuid[]; imported boolean;
BEGIN
    IF entered IS NULL OR pg_current_xact_id_if_assigned() IS NOT NULL THEN
        RETURN;
    END IF;
    SELECT h.sequence INTO last FROM change_heads h WHERE h.kennel_id = entered;
    IF last IS NULL THEN
        RETURN;
    END IF;
    IF since <= last AND last <= since + most THEN
        SELECT bool_or(c.action = 'imported'), array_agg(DISTINCT d.id) FILTER (WHERE d.id IS NOT NULL)
        INTO imported, changed
        FROM changes c LEFT JOIN LATERAL unnest(c.dog_ids || c.was_dog_ids) AS d (id) ON true
        WHERE c.kennel_id = entered AND c.sequence > since AND c.sequence <= last AND c.what = 'weight';
        IF NOT coalesce(imported, false) THEN
            changed := coalesce(changed, '{}');
        ELSE
            changed := NULL;
        END IF;
    END IF;
    RETURN QUERY SELECT last, changed;
END $$;

-- For who remembers lists up to a number of the log: the newest one, and the words of what was written since. Without a
-- number, or where too much was written, all has to be read anew: `words` is null. No row where the log does not tell
-- all, as of weights.
CREATE OR REPLACE FUNCTION written_since(since bigint) RETURNS TABLE (newest bigint, words text[])
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    most CONSTANT bigint := 1000;
    entered CONSTANT uuid := (SELECT s.kennel FROM proven_scope s WHERE s.all_dogs);
    last bigint; written text[];
BEGIN
    IF entered IS NULL OR pg_current_xact_id_if_assigned() IS NOT NULL THEN
        RETURN;
    END IF;
    SELECT h.sequence INTO last FROM change_heads h WHERE h.kennel_id = entered;
    IF last IS NULL THEN
        RETURN;
    END IF;
    IF since <= last AND last <= since + most THEN
        SELECT coalesce(array_agg(DISTINCT c.what), '{}') INTO written
        FROM changes c WHERE c.kennel_id = entered AND c.sequence > since AND c.sequence <= last;
    END IF;
    RETURN QUERY SELECT last, written;
END $$;

-- For an archive: all whom the kennel's rows may name, and the address of one of them.
CREATE OR REPLACE FUNCTION people_of_log() RETURNS TABLE (id uuid, name text, email text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT p.id, p.name, coalesce(p.email, p.name) FROM people p
    WHERE (SELECT has_right('managing'))
      AND p.id IN (SELECT k.person_id FROM kennel_people k WHERE k.kennel_id = (SELECT current_kennel()))
$$;
