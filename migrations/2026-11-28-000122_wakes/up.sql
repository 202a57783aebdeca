-- A stream of changes that is idle asks nothing: whoever ends a person's sessions wakes their streams.
CREATE FUNCTION wake_person() RETURNS trigger LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
    PERFORM pg_notify('denwright_changes', NEW.id::text);
    RETURN NULL;
END $$;
CREATE TRIGGER wake_person AFTER UPDATE OF generation ON people FOR EACH ROW
    WHEN (NEW.generation <> OLD.generation) EXECUTE FUNCTION wake_person();
