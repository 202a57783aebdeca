-- Genetic tests that no catalogue knows, and inbreeding as laboratories measured it.
CREATE TABLE free_tests (
    kennel_id   uuid NOT NULL,
    id          uuid NOT NULL,
    dog_id      uuid NOT NULL,
    name        text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    result      text NOT NULL CHECK (length(result) BETWEEN 1 AND 200),
    kind        text,
    gene        text CHECK (length(gene) BETWEEN 1 AND 50),
    variant     text CHECK (length(variant) BETWEEN 1 AND 200),
    inheritance text,
    copies      integer CHECK (copies BETWEEN 0 AND 2),
    laboratory  text CHECK (length(laboratory) BETWEEN 1 AND 200),
    tested_on   date,
    note        text CHECK (length(note) <= 10000),
    version     bigint NOT NULL DEFAULT 1,
    created_at  timestamptz NOT NULL DEFAULT now(),
    updated_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT free_tests_name_taken UNIQUE (kennel_id, dog_id, name),
    CONSTRAINT free_tests_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE
);
SELECT kennel_table('free_tests', 'free_test', '(SELECT sees_all()) OR dog_id IN (SELECT my_dogs())');

CREATE TABLE genomic_inbreedings (
    kennel_id       uuid NOT NULL,
    id              uuid NOT NULL,
    dog_id          uuid NOT NULL,
    inbreeding      double precision NOT NULL CHECK (inbreeding BETWEEN -1 AND 1),
    method          text NOT NULL,
    shortest_run_mb double precision CHECK (shortest_run_mb > 0),
    laboratory      text CHECK (length(laboratory) BETWEEN 1 AND 200),
    tested_on       date,
    note            text CHECK (length(note) <= 10000),
    version         bigint NOT NULL DEFAULT 1,
    created_at      timestamptz NOT NULL DEFAULT now(),
    updated_at      timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT genomic_inbreedings_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE
);
CREATE INDEX genomic_inbreedings_of_dog ON genomic_inbreedings (kennel_id, dog_id, tested_on);
SELECT kennel_table('genomic_inbreedings', 'genomic_inbreeding', '(SELECT sees_all()) OR dog_id IN (SELECT my_dogs())');

INSERT INTO log_words (word, needs, wide) VALUES ('free_test', 'dogs', false), ('genomic_inbreeding', 'dogs', false);
SELECT guard_references('free_tests');
SELECT guard_references('genomic_inbreedings');
