-- What a kennel asks for before a mating beside what the clubs of breeds ask for.
CREATE TABLE breed_tests (
    kennel_id  uuid NOT NULL,
    id         uuid NOT NULL,
    breed      text CHECK (length(breed) BETWEEN 1 AND 100),
    series     text NOT NULL CHECK (length(series) BETWEEN 1 AND 60),
    name       text CHECK (length(name) BETWEEN 1 AND 100),
    of         text NOT NULL,
    needed     boolean NOT NULL,
    valid_days integer CHECK (valid_days BETWEEN 1 AND 7300),
    source     text NOT NULL CHECK (length(source) BETWEEN 1 AND 500),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT breed_tests_series_taken UNIQUE NULLS NOT DISTINCT (kennel_id, breed, series, of)
);
SELECT kennel_table('breed_tests', 'breed_test', 'true');
INSERT INTO log_words (word, needs, wide) VALUES ('breed_test', 'dogs', true);
