-- What a row may say of another: only what its writer sees, and people who belong to the kennel.

-- Foreign keys look past the walls. To a co-owner a row that they do not see is not there: naming it fails
-- as naming nothing does, by the same constraint. The name makes these triggers the first of all.
CREATE OR REPLACE FUNCTION check_seen() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    row_now CONSTANT jsonb := to_jsonb(NEW);
    named CONSTANT uuid := row_now->>TG_ARGV[1];
    seen boolean;
BEGIN
    IF named IS NULL OR (TG_OP = 'UPDATE' AND named IS NOT DISTINCT FROM (to_jsonb(OLD)->>TG_ARGV[1])::uuid) THEN
        RETURN NEW;
    END IF;
    EXECUTE format('SELECT EXISTS (SELECT FROM %I WHERE kennel_id = $1 AND id = $2)', TG_ARGV[2])
        INTO seen USING NEW.kennel_id, named;
    -- A pup has the parents of its litter, and a litter the sire of its mating, whoever writes it down.
    IF NOT seen AND TG_TABLE_NAME = 'dogs' AND TG_OP = 'INSERT' THEN
        seen := EXISTS (SELECT FROM litters WHERE kennel_id = NEW.kennel_id
            AND dam_id = (row_now->>'dam_id')::uuid AND sire_id = (row_now->>'sire_id')::uuid);
    ELSIF NOT seen AND TG_TABLE_NAME = 'litters' AND TG_ARGV[1] = 'sire_id' THEN
        seen := EXISTS (SELECT FROM matings WHERE kennel_id = NEW.kennel_id
            AND id = (row_now->>'mating_id')::uuid AND sire_id = named);
    -- An alarm about a pup names its litter, also where the pup alone is shared.
    ELSIF NOT seen AND TG_TABLE_NAME = 'alarms_seen' AND TG_ARGV[1] = 'litter_id' THEN
        seen := EXISTS (SELECT FROM births WHERE kennel_id = NEW.kennel_id AND litter_id = named
            AND dog_id = (row_now->>'dog_id')::uuid);
    END IF;
    IF NOT seen THEN
        RAISE EXCEPTION 'no such row is seen' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = TG_ARGV[0];
    END IF;
    RETURN NEW;
END $$;

-- sees_all(), asked once a statement: for the condition of a trigger alone. A condition is planned anew at each run of
-- its statement, and what is IMMUTABLE is worked out then; so a million rows verify one signature and not a million, as
-- policies do. In a statement of its own the answer might be kept with the plan for a later transaction.
CREATE OR REPLACE FUNCTION sees_all_throughout() RETURNS boolean
LANGUAGE plpgsql IMMUTABLE SET search_path = public, pg_temp AS $$
BEGIN
    RETURN sees_all();
END $$;

-- Guards the references of a table to rows by their ids; a new table's migration calls it at its end.
CREATE OR REPLACE FUNCTION guard_references(name text) RETURNS void LANGUAGE plpgsql AS $$
DECLARE reference record;
BEGIN
    FOR reference IN
        SELECT c.conname, own.attname AS own, c.confrelid::regclass::text AS other
        FROM pg_constraint c
        JOIN pg_attribute own ON own.attrelid = c.conrelid AND own.attnum = c.conkey[2]
        JOIN pg_attribute other ON other.attrelid = c.confrelid AND other.attnum = c.confkey[2]
        WHERE c.contype = 'f' AND c.conrelid = name::regclass AND array_length(c.conkey, 1) >= 2
          AND other.attname = 'id'
          -- The birth is what makes the pup's dog visible.
          AND c.conname <> 'births_dog'
          AND NOT EXISTS (SELECT FROM pg_trigger t WHERE t.tgrelid = c.conrelid
                          AND t.tgname = 'absent_unless_seen_' || c.conname)
        ORDER BY c.conname
    LOOP
        EXECUTE format('CREATE TRIGGER %I BEFORE INSERT OR UPDATE OF %I ON %I FOR EACH ROW WHEN (NEW.%I IS NOT NULL AND NOT sees_all_throughout())
            EXECUTE FUNCTION check_seen(%L, %L, %L)', 'absent_unless_seen_' || reference.conname, reference.own, name, reference.own,
            reference.conname, reference.own, reference.other);
    END LOOP;
END $$;

-- Of two dogs with one chip, or one id of an imported file, only those speak against each other that whoever writes
-- may see: else a co-owner could try numbers and learn which dogs are here. It runs as the writer, so the walls
-- decide what it sees.
CREATE OR REPLACE FUNCTION refuse_second_dog() RETURNS trigger
LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; chips text[]; imported text[];
BEGIN
    IF TG_OP = 'INSERT' THEN
        SELECT n.kennel_id, array_agg(n.chip_number), array_agg(n.imported_id) INTO kennel, chips, imported
        FROM new_rows n WHERE n.chip_number IS NOT NULL OR n.imported_id IS NOT NULL GROUP BY n.kennel_id;
    ELSE
        SELECT n.kennel_id, array_agg(CASE WHEN n.chip_number IS DISTINCT FROM o.chip_number THEN n.chip_number END),
               array_agg(CASE WHEN n.imported_id IS DISTINCT FROM o.imported_id THEN n.imported_id END)
        INTO kennel, chips, imported
        FROM new_rows n JOIN old_rows o ON o.kennel_id = n.kennel_id AND o.id = n.id
        WHERE n.chip_number IS DISTINCT FROM o.chip_number OR n.imported_id IS DISTINCT FROM o.imported_id GROUP BY n.kennel_id;
    END IF;
    IF kennel IS NULL THEN
        RETURN NULL;
    END IF;
    -- Writers of a kennel wait for each other here, so that of two at once one sees the other's dog.
    PERFORM begin_writing();
    -- One look into an index for each, whatever the planner thinks of the kennel's size.
    IF EXISTS (SELECT FROM unnest(chips) AS c (chip)
               WHERE c.chip IS NOT NULL AND 1 < (SELECT count(*) FROM dogs d WHERE d.kennel_id = kennel AND d.chip_number = c.chip)) THEN
        RAISE EXCEPTION 'another dog has this chip' USING ERRCODE = 'unique_violation', CONSTRAINT = 'dogs_chip_taken';
    END IF;
    IF EXISTS (SELECT FROM unnest(imported) AS i (id)
               WHERE i.id IS NOT NULL AND 1 < (SELECT count(*) FROM dogs d WHERE d.kennel_id = kennel AND d.imported_id = i.id)) THEN
        RAISE EXCEPTION 'another dog has this imported id' USING ERRCODE = 'unique_violation', CONSTRAINT = 'dogs_imported_id_taken';
    END IF;
    RETURN NULL;
END $$;

-- A dog's sire is a male and its dam a female one of its kennel, and they stay. What two foreign keys asked of each row by
-- itself, which was a third of an import, is asked of a statement's rows at once. The log's triggers come first by their
-- names, so the kennel's lock is held until the end: of two writers one sees what the other has written.
CREATE OR REPLACE FUNCTION hold_parents() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp SET enable_seqscan = off AS $$
DECLARE is_missing boolean;
BEGIN
    -- Of an archive offspring may come first; parents_in_the_end asks.
    IF current_setting('denwright.parents_later', true) = 'yes' THEN
        RETURN NULL;
    END IF;
    -- Planned each time: a plan that is kept from when a kennel had thirty dogs goes through all of them for each parent.
    IF EXISTS (SELECT FROM new_rows n WHERE n.sire_id IS NOT NULL) THEN
        EXECUTE $q$SELECT EXISTS (
            SELECT FROM (SELECT DISTINCT n.kennel_id, n.sire_id FROM new_rows n WHERE n.sire_id IS NOT NULL) AS named
            WHERE (SELECT d.sex FROM dogs d WHERE d.kennel_id = named.kennel_id AND d.id = named.sire_id) IS DISTINCT FROM 'male')$q$
            INTO is_missing;
        IF is_missing THEN
            RAISE EXCEPTION 'no such sire' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_sire';
        END IF;
    END IF;
    IF EXISTS (SELECT FROM new_rows n WHERE n.dam_id IS NOT NULL) THEN
        EXECUTE $q$SELECT EXISTS (
            SELECT FROM (SELECT DISTINCT n.kennel_id, n.dam_id FROM new_rows n WHERE n.dam_id IS NOT NULL) AS named
            WHERE (SELECT d.sex FROM dogs d WHERE d.kennel_id = named.kennel_id AND d.id = named.dam_id) IS DISTINCT FROM 'female')$q$
            INTO is_missing;
        IF is_missing THEN
            RAISE EXCEPTION 'no such dam' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_dam';
        END IF;
    END IF;
    RETURN NULL;
END $$;

-- The same of each row by itself and at the end, for an archive.
CREATE OR REPLACE FUNCTION parents_in_the_end() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp SET enable_seqscan = off AS $$
DECLARE dog dogs;
BEGIN
    SELECT * INTO dog FROM dogs d WHERE d.kennel_id = NEW.kennel_id AND d.id = NEW.id;
    IF dog.sire_id IS NOT NULL AND NOT EXISTS (
        SELECT FROM dogs d WHERE d.kennel_id = dog.kennel_id AND d.id = dog.sire_id AND d.sex = 'male') THEN
        RAISE EXCEPTION 'no such sire' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_sire';
    END IF;
    IF dog.dam_id IS NOT NULL AND NOT EXISTS (
        SELECT FROM dogs d WHERE d.kennel_id = dog.kennel_id AND d.id = dog.dam_id AND d.sex = 'female') THEN
        RAISE EXCEPTION 'no such dam' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_dam';
    END IF;
    RETURN NULL;
END $$;

-- Who has offspring is not deleted, and keeps the sex of its role.
CREATE OR REPLACE FUNCTION keep_parents() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp SET enable_seqscan = off AS $$
DECLARE sires uuid[]; dams uuid[]; kennel uuid;
BEGIN
    -- A kennel that has ended goes as a whole.
    IF kennel_is_cleared() THEN
        RETURN NULL;
    END IF;
    FOR kennel IN SELECT DISTINCT o.kennel_id FROM old_rows o LOOP
        IF TG_OP = 'DELETE' THEN
            SELECT array_agg(o.id) FILTER (WHERE o.sex = 'male'), array_agg(o.id) FILTER (WHERE o.sex = 'female')
            INTO sires, dams FROM old_rows o WHERE o.kennel_id = kennel;
        ELSE
            SELECT array_agg(o.id) FILTER (WHERE o.sex = 'male'), array_agg(o.id) FILTER (WHERE o.sex = 'female')
            INTO sires, dams FROM old_rows o LEFT JOIN new_rows n ON n.kennel_id = o.kennel_id AND n.id = o.id
            WHERE o.kennel_id = kennel AND n.sex IS DISTINCT FROM o.sex;
        END IF;
        IF EXISTS (SELECT FROM unnest(sires) AS s (id)
                   WHERE (SELECT d.id FROM dogs d WHERE d.kennel_id = kennel AND d.sire_id = s.id LIMIT 1) IS NOT NULL) THEN
            RAISE EXCEPTION 'update or delete on table "dogs": a sire has offspring'
                USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_sire', TABLE = 'dogs';
        END IF;
        IF EXISTS (SELECT FROM unnest(dams) AS s (id)
                   WHERE (SELECT d.id FROM dogs d WHERE d.kennel_id = kennel AND d.dam_id = s.id LIMIT 1) IS NOT NULL) THEN
            RAISE EXCEPTION 'update or delete on table "dogs": a dam has offspring'
                USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_dam', TABLE = 'dogs';
        END IF;
    END LOOP;
    RETURN NULL;
END $$;

-- That a dog's kennel is there is known by the log, which numbers each write: change_heads refers to it, and its row is
-- held until the end. A kennel that goes takes its dogs along, after all that refers to them.
CREATE OR REPLACE FUNCTION dogs_go_along() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    DELETE FROM dogs d WHERE d.kennel_id = OLD.id;
    RETURN NULL;
END $$;

-- Who was ever a member may be named by rows of the kennel.
CREATE OR REPLACE FUNCTION know_member() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO kennel_people (kennel_id, person_id) VALUES (NEW.kennel_id, NEW.person_id) ON CONFLICT DO NOTHING;
    RETURN NULL;
END $$;

-- A share is given to a member, and a task too. What they hold stays theirs when they leave.
CREATE OR REPLACE FUNCTION check_member() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE named uuid := (to_jsonb(NEW)->>TG_ARGV[1])::uuid;
BEGIN
    IF named IS NOT NULL AND (TG_OP = 'INSERT' OR named IS DISTINCT FROM (to_jsonb(OLD)->>TG_ARGV[1])::uuid)
       AND NOT EXISTS (SELECT FROM memberships WHERE kennel_id = NEW.kennel_id AND person_id = named) THEN
        RAISE EXCEPTION 'no member is named' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = TG_ARGV[0];
    END IF;
    RETURN NEW;
END $$;

-- The address of somebody whom the kennel's rows may name; of whoever has no login any more, what is said instead.
CREATE OR REPLACE FUNCTION address_of(person uuid) RETURNS text
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT coalesce(p.email, p.name) FROM people p JOIN kennel_people k ON k.person_id = p.id
    WHERE p.id = person AND k.kennel_id = (SELECT current_kennel()) AND (SELECT has_right('managing'))
$$;

-- Shares in a dog are exact fractions that sum to at most one on each day. Where somebody holds one now, it goes before
-- a former one of theirs from its first day on, which is cut when it is written.
CREATE OR REPLACE FUNCTION check_shares() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE since date; share record; n numeric; d numeric; common numeric;
BEGIN
    PERFORM FROM dogs WHERE kennel_id = NEW.kennel_id AND id = NEW.dog_id FOR NO KEY UPDATE;
    IF TG_TABLE_NAME = 'former_shares' AND EXISTS (
        SELECT 1 FROM former_shares f WHERE f.kennel_id = NEW.kennel_id AND f.dog_id = NEW.dog_id AND f.id <> NEW.id
            AND f.person_id = NEW.person_id
            AND daterange(f.held_from, f.held_until, '[]') && daterange(NEW.held_from, (to_jsonb(NEW)->>'held_until')::date, '[]')
        UNION ALL
        SELECT 1 FROM shares s WHERE s.kennel_id = NEW.kennel_id AND s.dog_id = NEW.dog_id AND s.person_id = NEW.person_id
            AND coalesce(s.held_from, '-infinity') <= (to_jsonb(NEW)->>'held_until')::date
    ) THEN
        RAISE EXCEPTION 'held twice' USING ERRCODE = 'unique_violation', CONSTRAINT = 'former_shares_held_once';
    END IF;
    -- The shares grow on days on which one begins.
    FOR since IN
        SELECT coalesce(held_from, '-infinity') FROM shares WHERE kennel_id = NEW.kennel_id AND dog_id = NEW.dog_id
        UNION SELECT coalesce(held_from, '-infinity') FROM former_shares WHERE kennel_id = NEW.kennel_id AND dog_id = NEW.dog_id
    LOOP
        n := 0;
        d := 1;
        FOR share IN
            SELECT numerator, denominator FROM shares
            WHERE kennel_id = NEW.kennel_id AND dog_id = NEW.dog_id AND coalesce(held_from, '-infinity') <= since
            UNION ALL
            SELECT f.numerator, f.denominator FROM former_shares f
            WHERE f.kennel_id = NEW.kennel_id AND f.dog_id = NEW.dog_id
              AND coalesce(f.held_from, '-infinity') <= since AND since <= f.held_until
              AND NOT EXISTS (SELECT FROM shares s WHERE s.kennel_id = f.kennel_id AND s.dog_id = f.dog_id
                              AND s.person_id = f.person_id AND coalesce(s.held_from, '-infinity') <= since)
        LOOP
            n := n * share.denominator + share.numerator * d;
            d := d * share.denominator;
            common := gcd(n, d);
            n := div(n, common);
            d := div(d, common);
        END LOOP;
        IF n > d THEN
            RAISE EXCEPTION 'shares sum to %/%', n, d USING ERRCODE = 'check_violation', CONSTRAINT = 'shares_sum_at_most_one';
        END IF;
    END LOOP;
    RETURN NULL;
END $$;
