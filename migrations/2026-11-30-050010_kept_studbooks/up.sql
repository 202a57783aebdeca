-- A kennel's pedigree with all its coefficients as one value in parts, read at once after a restart. Derived from dogs, so
-- it is not logged. It takes the place of inbreeding_coefficients, which the edition before still writes and reads.
CREATE TABLE studbooks (
    kennel_id uuid PRIMARY KEY REFERENCES kennels ON DELETE CASCADE,
    -- The change up to which it goes.
    sequence  bigint NOT NULL,
    dogs      bigint NOT NULL
);
CREATE TABLE studbook_parts (
    kennel_id uuid NOT NULL REFERENCES studbooks ON DELETE CASCADE,
    part      integer NOT NULL CHECK (part >= 0),
    -- Ids and figures: nothing that can be packed smaller.
    content   bytea NOT NULL,
    PRIMARY KEY (kennel_id, part)
);
ALTER TABLE studbook_parts ALTER COLUMN content SET STORAGE EXTERNAL;
ALTER TABLE studbooks ENABLE ROW LEVEL SECURITY;
ALTER TABLE studbook_parts ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON studbooks USING (kennel_id = current_kennel());
CREATE POLICY of_kennel ON studbook_parts USING (kennel_id = current_kennel());
-- They are written by functions alone.
GRANT SELECT ON studbooks, studbook_parts TO denwright_service;

\ir ../functions/pedigree.sql
