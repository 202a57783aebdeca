ALTER TABLE access_tokens DROP COLUMN areas;
DROP INDEX refresh_tokens_age;
DROP TABLE attempts;
DROP TABLE password_resets;
DROP TABLE recovery_codes;
ALTER TABLE people DROP CONSTRAINT people_totp, DROP COLUMN totp_step, DROP COLUMN totp_on, DROP COLUMN totp_secret,
    DROP COLUMN generation;
