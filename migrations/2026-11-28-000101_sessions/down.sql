DELETE FROM password_resets r WHERE EXISTS (
    SELECT FROM password_resets o WHERE o.person_id = r.person_id AND o.asked_from < r.asked_from);
ALTER TABLE password_resets DROP CONSTRAINT password_resets_pkey, DROP COLUMN asked_from, ADD PRIMARY KEY (person_id);
ALTER TABLE people DROP COLUMN proven_at;

ALTER TABLE refresh_tokens DROP CONSTRAINT refresh_tokens_session, ADD COLUMN ended_at timestamptz;
UPDATE refresh_tokens t SET ended_at = coalesce(s.ended_at, now()) FROM sessions s JOIN people p ON p.id = s.person_id
WHERE s.id = t.family_id AND (s.ended_at IS NOT NULL OR s.generation <> p.generation);
DROP TRIGGER generation_moves ON people;
DROP TABLE sessions;
DROP FUNCTION session_ends(), generation_moves();
