-- Which change moved a kennel's pedigree last: whoever holds the pedigree in memory compares one number.
CREATE TABLE pedigree_heads (
    kennel_id uuid PRIMARY KEY REFERENCES kennels ON DELETE CASCADE,
    sequence  bigint NOT NULL
);
ALTER TABLE pedigree_heads ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON pedigree_heads USING (kennel_id = current_kennel());
GRANT SELECT ON pedigree_heads TO denwright_service;

-- The log has numbered the statement's changes already: its triggers come first by their names, and
-- the row lock on change_heads is held until the writer commits.
CREATE FUNCTION pedigree_moved() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO pedigree_heads AS head (kennel_id, sequence)
    SELECT kennel_id, sequence FROM change_heads WHERE kennel_id IN (SELECT kennel_id FROM moved_rows)
    ON CONFLICT (kennel_id) DO UPDATE SET sequence = excluded.sequence;
    RETURN NULL;
END $$;
CREATE FUNCTION pedigree_changed() RETURNS trigger
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
CREATE TRIGGER pedigree_grown AFTER INSERT ON dogs REFERENCING NEW TABLE AS moved_rows
    FOR EACH STATEMENT EXECUTE FUNCTION pedigree_moved();
CREATE TRIGGER pedigree_shrunk AFTER DELETE ON dogs REFERENCING OLD TABLE AS moved_rows
    FOR EACH STATEMENT EXECUTE FUNCTION pedigree_moved();
CREATE TRIGGER pedigree_changed AFTER UPDATE ON dogs REFERENCING OLD TABLE AS old_rows NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION pedigree_changed();
INSERT INTO pedigree_heads (kennel_id, sequence)
SELECT kennel_id, sequence FROM change_heads WHERE kennel_id IN (SELECT kennel_id FROM dogs);

-- Inbreeding as it was computed up to a change of the pedigree. Derived from dogs, so it is not logged.
CREATE TABLE inbreeding_heads (
    kennel_id uuid PRIMARY KEY REFERENCES kennels ON DELETE CASCADE,
    sequence  bigint NOT NULL
);
CREATE TABLE inbreeding_coefficients (
    kennel_id  uuid NOT NULL,
    dog_id     uuid NOT NULL,
    inbreeding double precision NOT NULL CHECK (inbreeding BETWEEN 0 AND 1),
    PRIMARY KEY (kennel_id, dog_id),
    CONSTRAINT inbreeding_coefficients_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE
);
ALTER TABLE inbreeding_heads ENABLE ROW LEVEL SECURITY;
ALTER TABLE inbreeding_coefficients ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON inbreeding_heads USING (kennel_id = current_kennel());
CREATE POLICY of_kennel ON inbreeding_coefficients USING (kennel_id = current_kennel());
GRANT SELECT, INSERT, UPDATE ON inbreeding_heads TO denwright_service;
GRANT SELECT ON inbreeding_coefficients TO denwright_service;

-- Keeps coefficients, whoever's request computed them; dogs that are gone meanwhile are left out.
CREATE FUNCTION keep_inbreeding(dog_ids uuid[], coefficients double precision[]) RETURNS bigint
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH kept AS (
        INSERT INTO inbreeding_coefficients AS c (kennel_id, dog_id, inbreeding)
        SELECT current_kennel(), d.id, n.inbreeding
        FROM unnest(dog_ids, coefficients) AS n (id, inbreeding)
        JOIN dogs d ON d.kennel_id = current_kennel() AND d.id = n.id
        ON CONFLICT (kennel_id, dog_id) DO UPDATE SET inbreeding = excluded.inbreeding
        WHERE c.inbreeding <> excluded.inbreeding
        RETURNING 1)
    SELECT count(*) FROM kept
$$;

-- The whole pedigree of the kennel, whoever asks: a co-owner's figures rest on all ancestors. With
-- the coefficients that are good still; no other particulars leave through here.
CREATE FUNCTION whole_pedigree()
RETURNS TABLE (id uuid, sire_id uuid, dam_id uuid, inbreeding double precision)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp SET enable_nestloop = off AS $$
    SELECT d.id, d.sire_id, d.dam_id, c.inbreeding
    FROM dogs d LEFT JOIN inbreeding_coefficients c ON c.kennel_id = d.kennel_id AND c.dog_id = d.id
    WHERE d.kennel_id = current_kennel()
$$;
-- The dogs that came or whose parents changed after a change, as they stand now; a row without an
-- id says that an import brought more, which the log does not name one by one.
CREATE FUNCTION pedigree_since(since bigint)
RETURNS TABLE (id uuid, sire_id uuid, dam_id uuid, created boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH entries AS (
        SELECT sequence, row_id, action
        FROM changes
        WHERE kennel_id = current_kennel() AND sequence > since AND what = 'dog' AND action <> 'deleted'
          AND (action <> 'changed' OR (before->'sire_id', before->'dam_id') IS DISTINCT FROM (after->'sire_id', after->'dam_id'))
    ), touched AS (
        SELECT row_id, min(sequence) AS first, bool_or(action = 'created') AS created
        FROM entries WHERE row_id IS NOT NULL GROUP BY row_id
    )
    SELECT d.id, d.sire_id, d.dam_id, t.created
    FROM (SELECT * FROM touched ORDER BY first) t JOIN dogs d ON d.kennel_id = current_kennel() AND d.id = t.row_id
    UNION ALL
    SELECT NULL, NULL, NULL, true FROM entries WHERE action = 'imported' HAVING count(*) > 0
$$;

-- What a pedigree shows of an ancestor: part of the record of the dog that descends from it, also
-- for a co-owner of that dog alone. The service asks for ancestors of dogs that the person may see.
CREATE FUNCTION pedigree_particulars(dog_ids uuid[])
RETURNS TABLE (id uuid, name text, call_name text, sex text, breed text, colour text, born_on text, registrations jsonb)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT id, name, call_name, sex, breed, colour, born_on, registrations
    FROM dogs WHERE kennel_id = current_kennel() AND id = ANY (dog_ids)
$$;

-- An import checks its rows against each other and against the kennel's dogs at once, under the lock
-- that changes of parents take: row by row, a correction of many would be refused half-way.
DROP TRIGGER check_parents_of_new ON dogs;
DROP TRIGGER check_parents_of_changed ON dogs;
CREATE TRIGGER check_parents_of_new BEFORE INSERT ON dogs
    FOR EACH ROW WHEN ((NEW.sire_id IS NOT NULL OR NEW.dam_id IS NOT NULL)
                       AND current_setting('denwright.import', true) IS DISTINCT FROM 'yes')
    EXECUTE FUNCTION check_parents();
CREATE TRIGGER check_parents_of_changed BEFORE UPDATE OF sire_id, dam_id, born_on ON dogs
    FOR EACH ROW WHEN (current_setting('denwright.import', true) IS DISTINCT FROM 'yes')
    EXECUTE FUNCTION check_parents();

-- Genotypes that laboratories found. Which markers and alleles there are is the service's catalogue.
CREATE TABLE genotype_tests (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    dog_id     uuid NOT NULL,
    marker     text NOT NULL CHECK (length(marker) BETWEEN 1 AND 100),
    alleles    jsonb NOT NULL CHECK (jsonb_typeof(alleles) = 'array' AND jsonb_array_length(alleles) BETWEEN 1 AND 2),
    laboratory text CHECK (length(laboratory) BETWEEN 1 AND 200),
    tested_on  date,
    omia       text CHECK (length(omia) BETWEEN 1 AND 50),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT genotype_tests_marker_taken UNIQUE (kennel_id, dog_id, marker),
    CONSTRAINT genotype_tests_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE
);
SELECT kennel_table('genotype_tests', 'genotype_test', 'sees_all() OR dog_id IN (SELECT my_dogs())');
