-- What screening found of hips, elbows, knees, hearts and eyes. Which schemes and results there are is the service's
-- catalogue.
CREATE TABLE screening_results (
    kennel_id   uuid NOT NULL,
    id          uuid NOT NULL,
    dog_id      uuid NOT NULL,
    scheme      text NOT NULL CHECK (length(scheme) BETWEEN 1 AND 100),
    condition   text CHECK (length(condition) BETWEEN 1 AND 200),
    result      text CHECK (length(result) BETWEEN 1 AND 50),
    left_side   text CHECK (length(left_side) BETWEEN 1 AND 50),
    right_side  text CHECK (length(right_side) BETWEEN 1 AND 50),
    examined_on date,
    examiner    text CHECK (length(examiner) BETWEEN 1 AND 200),
    certificate text CHECK (length(certificate) BETWEEN 1 AND 100),
    note        text CHECK (length(note) <= 10000),
    version     bigint NOT NULL DEFAULT 1,
    created_at  timestamptz NOT NULL DEFAULT now(),
    updated_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT screening_results_given CHECK (num_nonnulls(result, left_side, right_side) > 0),
    CONSTRAINT screening_results_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE
);
CREATE INDEX screening_results_of_dog ON screening_results (kennel_id, dog_id, examined_on);
CREATE INDEX screening_results_of_scheme ON screening_results (kennel_id, scheme);
SELECT kennel_table('screening_results', 'screening_result', '(SELECT sees_all()) OR dog_id IN (SELECT my_dogs())');
INSERT INTO log_words (word, needs, wide) VALUES ('screening_result', 'dogs', false);
SELECT guard_references('screening_results');
