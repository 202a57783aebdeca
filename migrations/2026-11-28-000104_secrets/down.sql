-- What is sealed stays so: the edition before reads no sealed secret, so second factors and webhooks go.
DELETE FROM recovery_codes r USING people p WHERE p.id = r.person_id AND is_sealed(p.totp_secret);
UPDATE people SET totp_on = false, totp_secret = NULL WHERE is_sealed(totp_secret);
ALTER TABLE webhooks DISABLE TRIGGER USER;
DELETE FROM webhooks WHERE is_sealed(secret);
ALTER TABLE webhooks ENABLE TRIGGER USER;

DROP POLICY of_person ON idempotency_keys;
ALTER TABLE idempotency_keys DISABLE ROW LEVEL SECURITY;
DROP POLICY of_kennel ON people;
ALTER TABLE people DISABLE ROW LEVEL SECURITY;
REVOKE SELECT (id, name, email, created_at) ON people FROM denwright_service;
GRANT SELECT, INSERT, UPDATE, DELETE ON people, refresh_tokens, recovery_codes, password_resets, attempts, signing_keys
    TO denwright_service;
DROP FUNCTION add_person(uuid, text, text, text, boolean), account_by_email(text), account_of_session(uuid),
    begin_session(uuid, uuid, integer, bytea, timestamptz), rotate_session(bytea, bytea, timestamptz, timestamptz, interval),
    end_session(bytea, timestamptz), end_sessions_of(uuid), end_all_sessions(uuid, timestamptz),
    change_password(uuid, text, text, timestamptz), open_reset(text, bytea, bytea, smallint, timestamptz),
    name_of_reset(text, bytea, timestamptz), reset_password(text, bytea, bytea, text, timestamptz),
    go_on_alone(uuid, uuid), begin_second_factor(uuid, bytea),
    confirm_second_factor(uuid, bytea, bigint, bytea[], timestamptz), end_second_factor(uuid, timestamptz),
    spend_step(uuid, bigint), spend_recovery_code(uuid, bytea), recovery_codes_left(uuid),
    count_try(bytea[], integer[]), try_was_good(bytea[], bytea), forget_tries(bytea),
    verifying_keys(uuid, bytea), renew_signing_key(uuid, bytea, bigint), next_uuid(uuid), clear_away(),
    accept_invitation(uuid, bytea, uuid, timestamptz), sealed_webhook_secret(uuid), people_of_log(),
    secrets_to_seal(bytea), seal_secret(uuid, uuid, bytea, bytea), forget_sealed(bytea[]), is_sealed(bytea);
