-- Dogs of the kennel, outside ancestors and pups alike, and who holds which share.

CREATE TABLE dogs (
    kennel_id      uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id             uuid NOT NULL,
    name           text CHECK (length(name) BETWEEN 1 AND 200),
    call_name      text CHECK (length(call_name) BETWEEN 1 AND 100),
    sex            text CHECK (sex IN ('female', 'male')),
    breed          text CHECK (length(breed) BETWEEN 1 AND 100),
    colour         text CHECK (length(colour) BETWEEN 1 AND 100),
    markings       text CHECK (length(markings) BETWEEN 1 AND 500),
    -- A day, a month or a year (ISO 8601 reduced precision): compared by the part that both have.
    born_on        text CHECK (born_on ~ '^\d{4}(-(0[1-9]|1[0-2])(-(0[1-9]|[12]\d|3[01]))?)?$'),
    died_on        date,
    sire_id        uuid,
    dam_id         uuid,
    sire_sex       text NOT NULL GENERATED ALWAYS AS ('male') STORED,
    dam_sex        text NOT NULL GENERATED ALWAYS AS ('female') STORED,
    chip_number    text CHECK (chip_number ~ '^[0-9A-Za-z]{9,15}$'),
    registrations  jsonb NOT NULL DEFAULT '[]' CHECK (jsonb_typeof(registrations) = 'array'),
    adult_weight_g integer CHECK (adult_weight_g BETWEEN 300 AND 150000),
    residence      text NOT NULL CHECK (residence IN ('here', 'elsewhere')),
    for_breeding   boolean NOT NULL DEFAULT false,
    imported_id    text CHECK (length(imported_id) BETWEEN 1 AND 200),
    note           text CHECK (length(note) <= 10000),
    version        bigint NOT NULL DEFAULT 1,
    created_at     timestamptz NOT NULL DEFAULT now(),
    updated_at     timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT dogs_with_sex UNIQUE (kennel_id, id, sex),
    CONSTRAINT dogs_chip_taken UNIQUE (kennel_id, chip_number),
    CONSTRAINT dogs_imported_id_taken UNIQUE (kennel_id, imported_id),
    CONSTRAINT dogs_sire FOREIGN KEY (kennel_id, sire_id, sire_sex) REFERENCES dogs (kennel_id, id, sex),
    CONSTRAINT dogs_dam FOREIGN KEY (kennel_id, dam_id, dam_sex) REFERENCES dogs (kennel_id, id, sex),
    CONSTRAINT dogs_not_own_parent CHECK (id <> sire_id AND id <> dam_id)
);
CREATE INDEX dogs_of_sire ON dogs (kennel_id, sire_id) WHERE sire_id IS NOT NULL;
CREATE INDEX dogs_of_dam ON dogs (kennel_id, dam_id) WHERE dam_id IS NOT NULL;
CREATE INDEX dogs_here ON dogs (kennel_id, id) WHERE residence = 'here';

CREATE TABLE shares (
    kennel_id   uuid NOT NULL,
    id          uuid NOT NULL,
    dog_id      uuid NOT NULL,
    person_id   uuid NOT NULL REFERENCES people,
    numerator   integer NOT NULL CHECK (numerator >= 1),
    denominator integer NOT NULL CHECK (denominator BETWEEN 1 AND 10000),
    version     bigint NOT NULL DEFAULT 1,
    created_at  timestamptz NOT NULL DEFAULT now(),
    updated_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT shares_holder_taken UNIQUE (kennel_id, dog_id, person_id),
    CONSTRAINT shares_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE,
    CONSTRAINT shares_at_most_whole CHECK (numerator <= denominator)
);
CREATE INDEX shares_of_person ON shares (person_id, kennel_id);

-- Filled by the next migration, once there are births: a pup hangs on the dogs that it comes from.
CREATE FUNCTION my_dogs() RETURNS SETOF uuid
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT dog_id FROM shares WHERE kennel_id = current_kennel() AND person_id = current_person()
$$;

SELECT kennel_table('dogs', 'dog', 'sees_all() OR id IN (SELECT my_dogs())');
-- A pup is written before the birth that makes it visible to a co-owner.
CREATE POLICY birth ON dogs FOR INSERT WITH CHECK (kennel_id = current_kennel());
SELECT kennel_table('shares', 'share', 'sees_all() OR dog_id IN (SELECT my_dogs())');

CREATE POLICY of_kennel ON changes USING (
    kennel_id = current_kennel()
    AND (sees_all() OR dog_ids && ARRAY(SELECT my_dogs()))
    AND (sees_money() OR what NOT IN ('buyer', 'payment', 'placement', 'invitation', 'access_token'))
);

-- Two birth dates compared by the part that both state: 2020 and 2020-05 are neither before nor after.
CREATE FUNCTION born_before(earlier text, later text) RETURNS boolean LANGUAGE sql IMMUTABLE AS $$
    SELECT left(earlier, least(length(earlier), length(later))) < left(later, least(length(earlier), length(later)))
$$;

-- A parent is older than its pup, and no dog is its own ancestor. A new row's parents must stand
-- already (also within one statement), so inserts cannot close a loop; changes are searched for one.
CREATE FUNCTION check_parents() RETURNS trigger
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
CREATE TRIGGER check_parents_of_new BEFORE INSERT ON dogs
    FOR EACH ROW WHEN (NEW.sire_id IS NOT NULL OR NEW.dam_id IS NOT NULL) EXECUTE FUNCTION check_parents();
CREATE TRIGGER check_parents_of_changed BEFORE UPDATE OF sire_id, dam_id, born_on ON dogs
    FOR EACH ROW EXECUTE FUNCTION check_parents();

-- Shares in a dog are exact fractions that sum to at most one.
CREATE FUNCTION check_shares() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE share record; n numeric := 0; d numeric := 1; common numeric;
BEGIN
    PERFORM FROM dogs WHERE kennel_id = NEW.kennel_id AND id = NEW.dog_id FOR NO KEY UPDATE;
    FOR share IN SELECT numerator, denominator FROM shares WHERE kennel_id = NEW.kennel_id AND dog_id = NEW.dog_id LOOP
        n := n * share.denominator + share.numerator * d;
        d := d * share.denominator;
        common := gcd(n, d);
        n := div(n, common);
        d := div(d, common);
    END LOOP;
    IF n > d THEN
        RAISE EXCEPTION 'shares sum to %/%', n, d USING ERRCODE = 'check_violation', CONSTRAINT = 'shares_sum_at_most_one';
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER check_shares AFTER INSERT OR UPDATE ON shares FOR EACH ROW EXECUTE FUNCTION check_shares();
