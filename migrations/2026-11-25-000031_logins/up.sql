-- Safer logins: sign-out everywhere, a second factor, resets by mail, limits that all instances share,
-- and access tokens that open some areas only.

-- A signed token carries the generation of its person's sessions; a higher one ends them all at once.
ALTER TABLE people
    ADD COLUMN generation integer NOT NULL DEFAULT 0,
    ADD COLUMN totp_secret bytea CHECK (length(totp_secret) >= 16),
    ADD COLUMN totp_on boolean NOT NULL DEFAULT false,
    -- The last time step whose code was taken: a code is good once.
    ADD COLUMN totp_step bigint NOT NULL DEFAULT 0,
    ADD CONSTRAINT people_totp CHECK (NOT totp_on OR totp_secret IS NOT NULL);

CREATE TABLE recovery_codes (
    person_id uuid NOT NULL REFERENCES people ON DELETE CASCADE,
    code_hash bytea NOT NULL,
    PRIMARY KEY (person_id, code_hash)
);

-- One open reset a person; a new one takes the place of the old.
CREATE TABLE password_resets (
    person_id  uuid PRIMARY KEY REFERENCES people ON DELETE CASCADE,
    code_hash  bytea NOT NULL,
    tries_left smallint NOT NULL,
    expires_at timestamptz NOT NULL
);

-- Tries of somebody or from somewhere, whether the account exists or not; keys are hashes.
CREATE TABLE attempts (
    key         bytea PRIMARY KEY,
    failures    integer NOT NULL,
    last_at     timestamptz NOT NULL,
    blocked_until timestamptz NOT NULL
);
CREATE INDEX attempts_age ON attempts (last_at);
CREATE INDEX refresh_tokens_age ON refresh_tokens (expires_at);

GRANT SELECT, INSERT, UPDATE, DELETE ON recovery_codes, password_resets, attempts TO denwright_service;

-- Null opens all that the person's role allows.
ALTER TABLE access_tokens ADD COLUMN areas text[]
    CHECK (areas <@ ARRAY['observations', 'breeding', 'placing', 'money', 'managing']);
