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
