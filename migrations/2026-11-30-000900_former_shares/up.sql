-- From when a share is held, and who held which part before: so that money and pups are divided by the shares of the day.

ALTER TABLE shares ADD COLUMN held_from date;

CREATE TABLE former_shares (
    kennel_id   uuid NOT NULL,
    id          uuid NOT NULL,
    dog_id      uuid NOT NULL,
    person_id   uuid NOT NULL,
    numerator   integer NOT NULL CHECK (numerator >= 1),
    denominator integer NOT NULL CHECK (denominator BETWEEN 1 AND 10000),
    held_from   date,
    held_until  date NOT NULL,
    version     bigint NOT NULL DEFAULT 1,
    created_at  timestamptz NOT NULL DEFAULT now(),
    updated_at  timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT former_shares_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs ON DELETE CASCADE,
    CONSTRAINT former_shares_person FOREIGN KEY (kennel_id, person_id) REFERENCES kennel_people,
    CONSTRAINT former_shares_at_most_whole CHECK (numerator <= denominator),
    CONSTRAINT former_shares_in_order CHECK (held_from <= held_until)
);
CREATE INDEX former_shares_of_dog ON former_shares (kennel_id, dog_id);
CREATE INDEX former_shares_of_person ON former_shares (kennel_id, person_id);
-- Read as shares are. Having held one lets nobody see the dog.
SELECT kennel_table('former_shares', 'former_share',
    '(SELECT has_right(''money'')) AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs()))');
INSERT INTO log_words (word, needs, wide) VALUES ('former_share', 'money', false);
SELECT guard_references('former_shares');

\ir ../functions/references.sql
CREATE TRIGGER check_shares AFTER INSERT OR UPDATE ON former_shares FOR EACH ROW EXECUTE FUNCTION check_shares();

\ir ../functions/co_ownership.sql

SELECT finish_walls();
