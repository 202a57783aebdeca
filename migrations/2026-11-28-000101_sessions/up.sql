-- Sessions that end: a row each, which every token of it names. It remembers the generation of its person at its
-- beginning, and whatever begins one, goes on with one or ends all locks the person: a refresh that is under
-- way while all sessions end hands out nothing that lives.

CREATE TABLE sessions (
    id         uuid PRIMARY KEY,
    person_id  uuid NOT NULL REFERENCES people ON DELETE CASCADE,
    generation integer NOT NULL,
    ended_at   timestamptz,
    created_at timestamptz NOT NULL DEFAULT now()
);
CREATE INDEX sessions_of_person ON sessions (person_id);

\ir ../functions/logins.sql

CREATE TRIGGER session_ends AFTER UPDATE OF ended_at ON sessions FOR EACH ROW
    WHEN (NEW.ended_at IS NOT NULL AND OLD.ended_at IS NULL) EXECUTE FUNCTION session_ends();
CREATE TRIGGER generation_moves AFTER UPDATE OF generation ON people FOR EACH ROW
    WHEN (NEW.generation <> OLD.generation) EXECUTE FUNCTION generation_moves();

-- A family of refresh tokens is a session.
INSERT INTO sessions (id, person_id, generation, ended_at, created_at)
SELECT t.family_id, t.person_id, p.generation, max(t.ended_at), min(t.created_at)
FROM refresh_tokens t JOIN people p ON p.id = t.person_id
GROUP BY t.family_id, t.person_id, p.generation;
ALTER TABLE refresh_tokens
    DROP COLUMN ended_at,
    ADD CONSTRAINT refresh_tokens_session FOREIGN KEY (family_id) REFERENCES sessions ON DELETE CASCADE;

-- When somebody first showed that they read the mail of their address. Of those who are there already it is
-- believed: their second factor stays.
ALTER TABLE people ADD COLUMN proven_at timestamptz;
UPDATE people SET proven_at = created_at;

-- One open reset a person and place that asked for it, so that a stranger who asks again, or tries codes,
-- does not spoil the one that the person was sent.
ALTER TABLE password_resets ADD COLUMN asked_from bytea NOT NULL DEFAULT '';
ALTER TABLE password_resets DROP CONSTRAINT password_resets_pkey, ADD PRIMARY KEY (person_id, asked_from);
