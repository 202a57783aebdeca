-- Whoever asks learns with their role which change of the kennel is the newest: whether an answer can have
-- changed since it was given costs no statement of its own.

-- Their shape has changed here or since.
DROP FUNCTION session_in_kennel(uuid, uuid), access_token_by_hash(bytea), calendar_link_by_hash(bytea);
\ir ../functions/scope.sql
