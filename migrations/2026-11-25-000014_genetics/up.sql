-- Which change moved a kennel's pedigree last: whoever holds the pedigree in memory compares one number.
CREATE TABLE pedigree_heads (
    kennel_id uuid PRIMARY KEY REFERENCES kennels ON DELETE CASCADE,
    sequence  bigint NOT NULL
);
ALTER TABLE pedigree_heads ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON pedigree_heads USING (kennel_id = current_kennel());
GRANT SELECT ON pedigree_heads TO denwright_service;

\ir ../functions/pedigree.sql

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
