-- Keys that sign access tokens, and secrets that lie here sealed.

-- ---------------------------------------------------------------------------------------------------------
-- Keys that sign access tokens.

-- The keys that verify, newest first; makes one when there is none. Two instances that start at once agree.
CREATE OR REPLACE FUNCTION verifying_keys(fresh_id uuid, fresh bytea) RETURNS TABLE (id uuid, secret bytea)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    IF NOT EXISTS (SELECT FROM signing_keys WHERE retired_at IS NULL) THEN
        PERFORM pg_advisory_xact_lock(hashtext('denwright signing keys'));
        IF NOT EXISTS (SELECT FROM signing_keys WHERE retired_at IS NULL) THEN
            INSERT INTO signing_keys (id, secret) VALUES (fresh_id, fresh);
        END IF;
    END IF;
    RETURN QUERY SELECT id, secret FROM signing_keys WHERE retired_at IS NULL ORDER BY id DESC;
END $$;

-- Signs with a new key from now on when the newest is older than so many days, null for any; its id. It is
-- above those of all keys, since the highest signs: also above that of one made while the clock was ahead.
CREATE OR REPLACE FUNCTION renew_signing_key(fresh_id uuid, fresh bytea, days bigint) RETURNS uuid
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE newest uuid; made uuid := fresh_id;
BEGIN
    PERFORM pg_advisory_xact_lock(hashtext('denwright signing keys'));
    -- One that says that it was made in the future tells nothing of its age.
    IF days IS NOT NULL AND EXISTS (SELECT FROM signing_keys
            WHERE created_at > now() - interval '1 day' * days AND created_at <= now()) THEN
        RETURN NULL;
    END IF;
    SELECT id INTO newest FROM signing_keys ORDER BY id DESC LIMIT 1;
    IF newest >= made THEN
        made := next_uuid(newest);
    END IF;
    INSERT INTO signing_keys (id, secret) VALUES (made, fresh);
    RETURN made;
END $$;

-- The id that follows in order; the last 15 digits count, and do not run over.
CREATE OR REPLACE FUNCTION next_uuid(id uuid) RETURNS uuid LANGUAGE plpgsql IMMUTABLE AS $$
DECLARE digits CONSTANT text := replace(id::text, '-', '');
BEGIN
    RETURN (left(digits, 17) || lpad(to_hex(('x0' || right(digits, 15))::bit(64)::bigint + 1), 15, '0'))::uuid;
END $$;

-- ---------------------------------------------------------------------------------------------------------
-- Sealing: secrets that the service must have in the clear lie here under a key that is not here. What is
-- sealed begins with 1 and the key's id (8 bytes) and is longer than any secret.

CREATE OR REPLACE FUNCTION is_sealed(secret bytea) RETURNS boolean LANGUAGE sql IMMUTABLE AS $$
    SELECT length(secret) >= 50 AND get_byte(secret, 0) = 1
$$;

-- Secrets that are not sealed under this key; `of_kennel` is null for a second factor.
CREATE OR REPLACE FUNCTION secrets_to_seal(key_id bytea) RETURNS TABLE (of_kennel uuid, of_row uuid, of_table text, secret bytea)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT NULL::uuid, id, 'people', totp_secret FROM people
    WHERE totp_secret IS NOT NULL AND NOT (is_sealed(totp_secret) AND substr(totp_secret, 2, 8) = key_id)
    UNION ALL
    SELECT kennel_id, id, 'webhooks', secret FROM webhooks WHERE NOT (is_sealed(secret) AND substr(secret, 2, 8) = key_id)
    UNION ALL
    SELECT kennel_id, id, 'push_devices', secret FROM push_devices WHERE NOT (is_sealed(secret) AND substr(secret, 2, 8) = key_id)
    UNION ALL
    SELECT NULL, '00000000-0000-0000-0000-000000000000', 'vapid_key', secret FROM vapid_key
    WHERE NOT (is_sealed(secret) AND substr(secret, 2, 8) = key_id)
$$;

-- Puts a sealed secret in the place of one that is the same still. Not logged, and no new version: to those
-- who know the secret nothing has changed.
CREATE OR REPLACE FUNCTION seal_secret(in_kennel uuid, in_row uuid, former bytea, sealed bytea) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    IF NOT is_sealed(sealed) THEN
        RAISE check_violation USING MESSAGE = 'this is not sealed';
    ELSIF in_kennel IS NULL THEN
        UPDATE people SET totp_secret = sealed WHERE id = in_row AND totp_secret = former;
        UPDATE vapid_key SET secret = sealed WHERE secret = former;
    ELSE
        UPDATE webhooks SET secret = sealed WHERE kennel_id = in_kennel AND id = in_row AND secret = former;
        UPDATE push_devices SET secret = sealed WHERE kennel_id = in_kennel AND id = in_row AND secret = former;
    END IF;
END $$;

-- The sealed secret of one of the kennel's webhooks.
CREATE OR REPLACE FUNCTION sealed_webhook_secret(webhook uuid) RETURNS bytea
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT secret FROM webhooks WHERE kennel_id = (SELECT kennel FROM proven_scope) AND id = webhook AND (SELECT may_managing FROM proven_scope)
$$;

-- Devices were entered for the key that is lost, and are entered anew for the next.
CREATE OR REPLACE FUNCTION forget_sealed(key_ids bytea[]) RETURNS bigint LANGUAGE plpgsql AS $$
DECLARE factors bigint; hooks bigint;
BEGIN
    DELETE FROM recovery_codes r USING people p
    WHERE p.id = r.person_id AND is_sealed(p.totp_secret) AND substr(p.totp_secret, 2, 8) <> ALL (key_ids);
    UPDATE people SET totp_on = false, totp_secret = NULL
    WHERE is_sealed(totp_secret) AND substr(totp_secret, 2, 8) <> ALL (key_ids);
    GET DIAGNOSTICS factors = ROW_COUNT;
    DELETE FROM webhooks WHERE is_sealed(secret) AND substr(secret, 2, 8) <> ALL (key_ids);
    GET DIAGNOSTICS hooks = ROW_COUNT;
    DELETE FROM push_devices WHERE substr(secret, 2, 8) <> ALL (key_ids);
    DELETE FROM vapid_key WHERE substr(secret, 2, 8) <> ALL (key_ids);
    IF FOUND THEN
        DELETE FROM push_devices;
    END IF;
    RETURN factors + hooks;
END $$;
