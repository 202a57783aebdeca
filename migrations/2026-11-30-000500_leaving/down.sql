-- Whoever has left gets an address that no mail reaches.
UPDATE people SET email = id || '@left.invalid' WHERE email IS NULL;
ALTER TABLE people DROP CONSTRAINT people_left, DROP COLUMN left_at, ALTER COLUMN email SET NOT NULL;
DROP INDEX invitations_of_address;
DROP TABLE kennel_ends;
GRANT DELETE ON kennels TO denwright_service;
ALTER TABLE idempotency_keys DROP COLUMN of_kennel;
ALTER TABLE rings DROP COLUMN patient;
DROP FUNCTION forget_in_kennel(uuid, uuid, text), end_login(uuid, text, timestamptz), time_to_think_again(), kennel_ends_at(),
    log_kennel_end(uuid, timestamptz, timestamptz), end_kennel(text), keep_kennel(), tell_members(timestamptz, jsonb, text),
    ended_kennels(), hold_ended_kennel(uuid), close_ended_kennel(uuid), uploads_of_ended_kennel(uuid),
    clear_ended_kennel(uuid, integer);
