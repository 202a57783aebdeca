-- Answers kept for repeats hold no secret any more; those that were kept with one are forgotten.
DELETE FROM idempotency_keys WHERE body ? 'token';

-- Of two dogs with one chip, or one id of an imported file, only those speak against each other that whoever
-- writes may see: else a co-owner could try numbers and learn which dogs are here. The check runs as the
-- writer, so the walls decide what it sees.
DROP INDEX dogs_chip_taken;
DROP INDEX dogs_imported_id_taken;
CREATE INDEX dogs_of_chip ON dogs (kennel_id, chip_number) WHERE chip_number IS NOT NULL;
CREATE INDEX dogs_of_imported_id ON dogs (kennel_id, imported_id) WHERE imported_id IS NOT NULL;
CREATE FUNCTION refuse_second_dog() RETURNS trigger
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
    IF EXISTS (SELECT FROM dogs d WHERE d.kennel_id = kennel AND d.chip_number = ANY (chips) GROUP BY d.chip_number HAVING count(*) > 1) THEN
        RAISE EXCEPTION 'another dog has this chip' USING ERRCODE = 'unique_violation', CONSTRAINT = 'dogs_chip_taken';
    END IF;
    IF EXISTS (SELECT FROM dogs d WHERE d.kennel_id = kennel AND d.imported_id = ANY (imported) GROUP BY d.imported_id HAVING count(*) > 1) THEN
        RAISE EXCEPTION 'another dog has this imported id' USING ERRCODE = 'unique_violation', CONSTRAINT = 'dogs_imported_id_taken';
    END IF;
    RETURN NULL;
END $$;
-- Before the log is written: a name that comes earlier.
CREATE TRIGGER dog_once_created AFTER INSERT ON dogs REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_second_dog();
CREATE TRIGGER dog_once_changed AFTER UPDATE ON dogs REFERENCING OLD TABLE AS old_rows NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_second_dog();

-- Whether a kennel that comes in an archive keeps its id: where nobody else has a kennel, or where it is here and
-- whoever brings it belongs to it, which is then refused. Beside kennels of others it gets a new one, so that
-- nobody learns by an id whether it is here. Whose session it is says who brings it.
CREATE FUNCTION keeps_its_id(session uuid, kennel uuid) RETURNS boolean
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT EXISTS (SELECT FROM memberships m WHERE m.kennel_id = kennel AND m.person_id = person_of_session(session))
        OR NOT EXISTS (
            SELECT FROM kennels k
            WHERE NOT EXISTS (
                SELECT FROM memberships m WHERE m.kennel_id = k.id AND m.person_id = person_of_session(session)))
$$;
REVOKE ALL ON FUNCTION keeps_its_id(uuid, uuid) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION keeps_its_id(uuid, uuid) TO denwright_service;
