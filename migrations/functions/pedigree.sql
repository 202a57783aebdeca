-- Parents, and the pedigree of a kennel as it is kept in memory.

-- Two birth dates compared by the part that both state: 2020 and 2020-05 are neither before nor after.
CREATE OR REPLACE FUNCTION born_before(earlier text, later text) RETURNS boolean LANGUAGE sql IMMUTABLE AS $$
    SELECT left(earlier, least(length(earlier), length(later))) < left(later, least(length(earlier), length(later)))
$$;

-- A parent is older than its pup, and no dog is its own ancestor. A new row's parents must stand
-- already (also within one statement), so inserts cannot close a loop; changes are searched for one.
CREATE OR REPLACE FUNCTION check_parents() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE sire_born text; dam_born text;
BEGIN
    IF NEW.sire_id IS NOT NULL THEN
        SELECT born_on INTO sire_born FROM dogs WHERE kennel_id = NEW.kennel_id AND id = NEW.sire_id;
        IF NOT FOUND THEN
            RAISE EXCEPTION 'no such sire' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_sire';
        ELSIF NOT born_before(sire_born, NEW.born_on) THEN
            RAISE EXCEPTION 'sire is not older' USING ERRCODE = 'check_violation', CONSTRAINT = 'dogs_sire_older';
        END IF;
    END IF;
    IF NEW.dam_id IS NOT NULL THEN
        SELECT born_on INTO dam_born FROM dogs WHERE kennel_id = NEW.kennel_id AND id = NEW.dam_id;
        IF NOT FOUND THEN
            RAISE EXCEPTION 'no such dam' USING ERRCODE = 'foreign_key_violation', CONSTRAINT = 'dogs_dam';
        ELSIF NOT born_before(dam_born, NEW.born_on) THEN
            RAISE EXCEPTION 'dam is not older' USING ERRCODE = 'check_violation', CONSTRAINT = 'dogs_dam_older';
        END IF;
    END IF;
    IF TG_OP = 'INSERT' THEN
        RETURN NEW;
    END IF;
    IF NEW.born_on IS DISTINCT FROM OLD.born_on AND EXISTS (
        SELECT FROM dogs WHERE kennel_id = NEW.kennel_id AND NEW.id IN (sire_id, dam_id) AND NOT born_before(NEW.born_on, born_on)
    ) THEN
        RAISE EXCEPTION 'offspring is not younger' USING ERRCODE = 'check_violation', CONSTRAINT = 'dogs_offspring_younger';
    END IF;
    IF (NEW.sire_id, NEW.dam_id) IS DISTINCT FROM (OLD.sire_id, OLD.dam_id) THEN
        -- One change of parents at a time in a kennel: two that close a loop together would not see each other.
        PERFORM pg_advisory_xact_lock(hashtext('denwright parents'), hashtext(NEW.kennel_id::text));
        IF EXISTS (
            WITH RECURSIVE ancestors (id) AS (
                SELECT unnest(ARRAY[NEW.sire_id, NEW.dam_id])
                UNION
                SELECT unnest(ARRAY[dogs.sire_id, dogs.dam_id])
                FROM dogs JOIN ancestors ON dogs.kennel_id = NEW.kennel_id AND dogs.id = ancestors.id
            )
            SELECT FROM ancestors WHERE id = NEW.id
        ) THEN
            RAISE EXCEPTION 'own ancestor' USING ERRCODE = 'check_violation', CONSTRAINT = 'dogs_own_ancestor';
        END IF;
    END IF;
    RETURN NEW;
END $$;

-- The log has numbered the statement's changes already: its triggers come first by their names, and
-- the row lock on change_heads is held until the writer commits.
CREATE OR REPLACE FUNCTION pedigree_moved() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO pedigree_heads AS head (kennel_id, sequence)
    SELECT kennel_id, sequence FROM change_heads WHERE kennel_id IN (SELECT kennel_id FROM moved_rows)
    ON CONFLICT (kennel_id) DO UPDATE SET sequence = excluded.sequence;
    RETURN NULL;
END $$;

CREATE OR REPLACE FUNCTION pedigree_changed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO pedigree_heads AS head (kennel_id, sequence)
    SELECT kennel_id, sequence FROM change_heads
    WHERE kennel_id IN (
        SELECT n.kennel_id FROM new_rows n JOIN old_rows o USING (kennel_id, id)
        WHERE (n.sire_id, n.dam_id) IS DISTINCT FROM (o.sire_id, o.dam_id))
    ON CONFLICT (kennel_id) DO UPDATE SET sequence = excluded.sequence;
    RETURN NULL;
END $$;

-- The whole pedigree of the kennel, whoever asks: a co-owner's figures rest on all ancestors. With
-- the coefficients that are good still; no other particulars leave through here.
CREATE OR REPLACE FUNCTION whole_pedigree()
RETURNS TABLE (id uuid, sire_id uuid, dam_id uuid, inbreeding double precision)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp SET enable_nestloop = off AS $$
    SELECT d.id, d.sire_id, d.dam_id, c.inbreeding
    FROM dogs d LEFT JOIN inbreeding_coefficients c ON c.kennel_id = d.kennel_id AND c.dog_id = d.id
    WHERE d.kennel_id = (SELECT proven_scope.kennel FROM proven_scope)
$$;

-- The same without coefficients.
CREATE OR REPLACE FUNCTION all_parents() RETURNS TABLE (id uuid, sire_id uuid, dam_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT d.id, d.sire_id, d.dam_id FROM dogs d WHERE d.kennel_id = (SELECT proven_scope.kennel FROM proven_scope)
$$;

-- The kennel's book as an instance kept it, whoever asks; nothing where what came since is not told dog by dog, or a dog
-- was deleted since.
CREATE OR REPLACE FUNCTION kept_studbook() RETURNS TABLE (sequence bigint, dogs bigint, part integer, content bytea)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT s.sequence, s.dogs, p.part, p.content
    FROM studbooks s JOIN studbook_parts p ON p.kennel_id = s.kennel_id
    WHERE s.kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND NOT EXISTS (
        SELECT FROM pedigree_heads h JOIN changes c ON c.kennel_id = h.kennel_id AND c.sequence > s.sequence
        WHERE h.kennel_id = s.kennel_id AND h.sequence > s.sequence AND c.what = 'dog' AND c.action IN ('deleted', 'imported'))
$$;

-- Begins to keep a book that goes up to a change, from a part on; false when another instance keeps one just now, has
-- kept a later one, or what comes before that part is not what was kept up to `before`.
CREATE OR REPLACE FUNCTION begin_keeping(before bigint, up_to bigint, first_part integer) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel CONSTANT uuid := current_kennel(); stored bigint;
BEGIN
    INSERT INTO studbooks (kennel_id, sequence, dogs) VALUES (kennel, -1, 0) ON CONFLICT DO NOTHING;
    SELECT s.sequence INTO stored FROM studbooks s WHERE s.kennel_id = kennel FOR UPDATE SKIP LOCKED;
    IF stored IS NULL OR stored >= up_to OR (first_part > 0 AND stored <> before) THEN
        RETURN false;
    END IF;
    DELETE FROM studbook_parts p WHERE p.kennel_id = kennel AND p.part >= first_part;
    RETURN true;
END $$;

CREATE OR REPLACE FUNCTION keep_studbook_part(number integer, dogs bytea) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO studbook_parts (kennel_id, part, content) VALUES (current_kennel(), number, dogs);
END $$;

CREATE OR REPLACE FUNCTION end_keeping(up_to bigint, all_dogs bigint) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE studbooks s SET sequence = up_to, dogs = all_dogs WHERE s.kennel_id = current_kennel();
END $$;

-- The dogs that came or whose parents changed after a change, as they stand now; a row without an
-- id says that an import brought more, which the log does not name one by one.
CREATE OR REPLACE FUNCTION pedigree_since(since bigint)
RETURNS TABLE (id uuid, sire_id uuid, dam_id uuid, created boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH entries AS (
        SELECT sequence, row_id, action
        FROM changes
        WHERE kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND sequence > since AND what = 'dog' AND action <> 'deleted'
          AND (action <> 'changed' OR (before->'sire_id', before->'dam_id') IS DISTINCT FROM (after->'sire_id', after->'dam_id'))
    ), touched AS (
        SELECT row_id, min(sequence) AS first, bool_or(action = 'created') AS created
        FROM entries WHERE row_id IS NOT NULL GROUP BY row_id
    )
    SELECT d.id, d.sire_id, d.dam_id, t.created
    FROM (SELECT * FROM touched ORDER BY first) t JOIN dogs d ON d.kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND d.id = t.row_id
    UNION ALL
    SELECT NULL, NULL, NULL, true FROM entries WHERE action = 'imported' HAVING count(*) > 0
$$;

-- Keeps coefficients, whoever's request computed them; dogs that are gone meanwhile are left out.
CREATE OR REPLACE FUNCTION keep_inbreeding(dog_ids uuid[], coefficients double precision[]) RETURNS bigint
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH kept AS (
        INSERT INTO inbreeding_coefficients AS c (kennel_id, dog_id, inbreeding)
        SELECT (SELECT proven_scope.kennel FROM proven_scope), d.id, n.inbreeding
        FROM unnest(dog_ids, coefficients) AS n (id, inbreeding)
        JOIN dogs d ON d.kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND d.id = n.id
        ON CONFLICT (kennel_id, dog_id) DO UPDATE SET inbreeding = excluded.inbreeding
        WHERE c.inbreeding <> excluded.inbreeding
        RETURNING 1)
    SELECT count(*) FROM kept
$$;

-- A dog and all its ancestors, whoever asks: a co-owner's booklet has the whole pedigree of the
-- shared dog. The service asks for a dog that the person may see.
CREATE OR REPLACE FUNCTION ancestors_of(dog uuid)
RETURNS TABLE (id uuid, sire_id uuid, dam_id uuid, name text, born_on text, breed text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH RECURSIVE line (id) AS (
        SELECT dog
        UNION
        SELECT parent FROM line
        JOIN dogs d ON d.kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND d.id = line.id
        CROSS JOIN LATERAL unnest(ARRAY[d.sire_id, d.dam_id]) AS parent
        WHERE parent IS NOT NULL
    )
    SELECT d.id, d.sire_id, d.dam_id, coalesce(d.name, d.call_name), d.born_on, d.breed
    FROM line JOIN dogs d ON d.kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND d.id = line.id
$$;

-- What a pedigree shows of an ancestor: part of the record of the dog that descends from it, also
-- for a co-owner of that dog alone. The service asks for ancestors of dogs that the person may see.
CREATE OR REPLACE FUNCTION pedigree_particulars(dog_ids uuid[])
RETURNS TABLE (id uuid, name text, call_name text, sex text, breed text, colour text, born_on text, registrations jsonb)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT id, name, call_name, sex, breed, colour, born_on, registrations
    FROM dogs WHERE kennel_id = (SELECT proven_scope.kennel FROM proven_scope) AND id = ANY (dog_ids)
$$;
