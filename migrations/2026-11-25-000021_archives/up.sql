-- An archive is taken in row by row, in the order of its file: a pup may stand before its parents.
-- Everything else is checked at once, as before.
ALTER TABLE dogs ALTER CONSTRAINT dogs_sire DEFERRABLE INITIALLY IMMEDIATE;
ALTER TABLE dogs ALTER CONSTRAINT dogs_dam DEFERRABLE INITIALLY IMMEDIATE;

-- An archive says from which schema it was written.
GRANT SELECT ON __diesel_schema_migrations TO denwright_service;

-- A dog and all its ancestors, whoever asks: a co-owner's booklet has the whole pedigree of the
-- shared dog. The service asks for a dog that the person may see.
CREATE FUNCTION ancestors_of(dog uuid)
RETURNS TABLE (id uuid, sire_id uuid, dam_id uuid, name text, born_on text, breed text)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH RECURSIVE line (id) AS (
        SELECT dog
        UNION
        SELECT parent FROM line
        JOIN dogs d ON d.kennel_id = current_kennel() AND d.id = line.id
        CROSS JOIN LATERAL unnest(ARRAY[d.sire_id, d.dam_id]) AS parent
        WHERE parent IS NOT NULL
    )
    SELECT d.id, d.sire_id, d.dam_id, coalesce(d.name, d.call_name), d.born_on, d.breed
    FROM line JOIN dogs d ON d.kennel_id = current_kennel() AND d.id = line.id
$$;

-- Ends the offers and reservations whose last day is over. Every transaction begins with it, so that
-- no one ever reads a promise that does not hold any more; the log tells it as nobody's doing.
CREATE FUNCTION lapse_placements(today date) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    over CONSTANT text[] := '{offered,reserved}';
    person CONSTANT text := current_setting('denwright.person', true);
    lapsed bigint;
BEGIN
    IF current_setting('transaction_read_only') = 'on' OR NOT EXISTS (
        SELECT FROM placements
        WHERE kennel_id = current_kennel() AND stage IN ('offered', 'reserved') AND reserved_until < today
    ) THEN
        RETURN 0;
    END IF;
    -- The lock that every writer takes first.
    PERFORM next_changes(current_kennel(), 0);
    PERFORM set_config('denwright.person', '', true);
    UPDATE placements SET stage = 'lapsed'
    WHERE kennel_id = current_kennel() AND stage = ANY (over) AND reserved_until < today;
    GET DIAGNOSTICS lapsed = ROW_COUNT;
    PERFORM set_config('denwright.person', coalesce(person, ''), true);
    RETURN lapsed;
END $$;
