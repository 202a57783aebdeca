-- An answer that is lost on its way to a phone must not end the session: for a short while the token that was
-- spent last is good again, as long as the one made of it was not used. That one is then as if spent long ago,
-- so that whoever shows it ends the session: one of the two who hold them must have stolen theirs.
DROP FUNCTION IF EXISTS rotate_session(bytea, bytea, timestamptz, timestamptz);
\ir ../functions/logins.sql
