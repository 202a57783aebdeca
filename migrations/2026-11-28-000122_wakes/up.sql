-- A stream of changes that is idle asks nothing: whoever ends a person's sessions wakes their streams.

\ir ../functions/log.sql

CREATE TRIGGER wake_person AFTER UPDATE OF generation ON people FOR EACH ROW
    WHEN (NEW.generation <> OLD.generation) EXECUTE FUNCTION wake_person();
