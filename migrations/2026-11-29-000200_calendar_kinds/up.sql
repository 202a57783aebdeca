-- A link shows what its person wants to see in their calendar (nothing named: everything), with alarms if they like.
ALTER TABLE calendar_links
    ADD COLUMN kinds text[] NOT NULL DEFAULT '{}'
        CHECK (kinds <@ ARRAY['whelping', 'go_home', 'health', 'heats', 'chores', 'absences']),
    ADD COLUMN alarms boolean NOT NULL DEFAULT false;

-- Their shape has changed here or since.
DROP FUNCTION session_in_kennel(uuid, uuid), access_token_by_hash(bytea), calendar_link_by_hash(bytea);
\ir ../functions/scope.sql
