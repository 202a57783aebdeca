-- Names as they are compared: accents, case and the ways of writing one letter aside. By itself rather than by
-- the extension unaccent, which not every server has; and alike on all servers, whatever their locale is.

\ir ../functions/search.sql

-- Kept beside the dog: to fold 100,000 names takes a second, to look through them folded a fiftieth of that. No
-- index serves: behind row-level security only what is leakproof is looked up, and no search within a text is.
ALTER TABLE dogs ADD COLUMN search_words text
    GENERATED ALWAYS AS (dog_words(name, call_name, chip_number, registrations)) STORED;
-- A long list by name, page by page.
CREATE INDEX dogs_by_name ON dogs (kennel_id, (folded(name) COLLATE "C"), id);

\ir ../functions/log.sql
