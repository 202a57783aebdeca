-- A person's name stands in the answers of each kennel that they were ever in ("seen by"), and is no change of
-- the kennel: how often one of them was renamed comes with the login's lookup, beside the newest change.
ALTER TABLE change_heads ADD COLUMN renamings bigint NOT NULL DEFAULT 0;

\ir ../functions/log.sql

CREATE TRIGGER person_renamed AFTER UPDATE OF name ON people FOR EACH ROW
    WHEN (NEW.name <> OLD.name) EXECUTE FUNCTION person_renamed();

-- Their shape has changed here or since.
DROP FUNCTION session_in_kennel(uuid, uuid), access_token_by_hash(bytea), calendar_link_by_hash(bytea);
\ir ../functions/scope.sql
