-- Webhooks: what waits for whom, and what became of it. The worker serves all kennels and reaches them through
-- these alone.

-- So many webhooks has a kennel at most. Its writers wait for each other here, so that of two at once one sees
-- the other's.
CREATE OR REPLACE FUNCTION limit_webhooks() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid;
BEGIN
    FOR kennel IN SELECT DISTINCT n.kennel_id FROM new_rows n LOOP
        PERFORM next_changes(kennel, 0);
        IF (SELECT count(*) FROM webhooks w WHERE w.kennel_id = kennel) > 20 THEN
            RAISE EXCEPTION 'a kennel has at most 20 webhooks' USING ERRCODE = 'check_violation', CONSTRAINT = 'webhooks_at_most';
        END IF;
    END LOOP;
    RETURN NULL;
END $$;

-- Whoever is switched on again begins anew.
CREATE OR REPLACE FUNCTION begin_webhook_anew() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    DELETE FROM webhook_standing WHERE kennel_id = NEW.kennel_id AND webhook_id = NEW.id;
    RETURN NULL;
END $$;

-- At most 2,000 changes wait for a webhook; of more, the oldest are dropped, and told as that.
CREATE OR REPLACE FUNCTION tell_webhooks() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE kennel uuid; hook uuid; too_old bigint;
BEGIN
    INSERT INTO webhook_deliveries (kennel_id, id, webhook_id, sequence, event)
    SELECT n.kennel_id, gen_random_uuid(), w.id, n.sequence, n.what || '.' || n.action
    FROM new_rows n JOIN webhooks w ON w.kennel_id = n.kennel_id AND w.active
    WHERE w.events = '[]' OR w.events ? n.what OR w.events ? (n.what || '.' || n.action);
    IF NOT FOUND THEN
        RETURN NULL;
    END IF;
    FOR kennel, hook, too_old IN
        SELECT w.kennel_id, w.id, (
            SELECT d.sequence FROM webhook_deliveries d
            WHERE d.kennel_id = w.kennel_id AND d.webhook_id = w.id AND d.status = 'waiting'
            ORDER BY d.sequence DESC OFFSET 2000 LIMIT 1)
        FROM webhooks w WHERE w.active AND w.kennel_id IN (SELECT n.kennel_id FROM new_rows n)
    LOOP
        CONTINUE WHEN too_old IS NULL;
        -- One that is in flight just now is left to its try.
        UPDATE webhook_deliveries SET status = 'dropped', last_error = 'more than 2000 changes waited for this webhook'
        WHERE kennel_id = kennel AND id = ANY (ARRAY(
            SELECT d.id FROM webhook_deliveries d
            WHERE d.kennel_id = kennel AND d.webhook_id = hook AND d.status = 'waiting' AND d.sequence <= too_old
              AND coalesce(d.leased_until <= now(), true)
            FOR UPDATE SKIP LOCKED));
    END LOOP;
    RETURN NULL;
END $$;

-- A change as a webhook is told it: whose it is serves the database alone.
CREATE OR REPLACE FUNCTION change_told(entry changes) RETURNS jsonb LANGUAGE sql STABLE AS $$
    SELECT to_jsonb(entry) - '{dog_ids,was_dog_ids,wide}'::text[]
$$;

-- What is to be delivered now. Kennels have their turns in the order of their ids, after the one that was
-- served last. A webhook whose last try failed or took long is slow: slow ones have places of their own, so
-- that they never take those of the others. A claimed delivery comes due again when its worker does not say in
-- time what became of it.
CREATE OR REPLACE FUNCTION claim_webhook_deliveries(quick_places integer, slow_places integer, after_kennel uuid, lease_seconds integer)
RETURNS TABLE (kennel_id uuid, id uuid, url text, secret bytea, slow boolean, attempts integer, event text, at timestamptz, content jsonb)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    -- In flight at once, of a webhook and of a kennel.
    quick_of_webhook CONSTANT integer := 4; quick_of_kennel CONSTANT integer := 8;
    slow_of_webhook CONSTANT integer := 1; slow_of_kennel CONSTANT integer := 2;
    turn uuid := after_kennel; around boolean := false; claimed record;
BEGIN
    WHILE quick_places > 0 OR slow_places > 0 LOOP
        SELECT d.kennel_id INTO turn FROM webhook_deliveries d
        WHERE d.status = 'waiting' AND d.kennel_id > turn
          AND (d.next_at <= now() OR d.next_at > now() + interval '2 days')
        ORDER BY d.kennel_id LIMIT 1;
        IF NOT FOUND THEN
            EXIT WHEN around;
            around := true;
            turn := '00000000-0000-0000-0000-000000000000';
            CONTINUE;
        END IF;
        EXIT WHEN around AND turn > after_kennel;
        -- Another instance serves this kennel just now.
        CONTINUE WHEN NOT pg_try_advisory_xact_lock(hashtext('denwright webhooks'), hashtext(turn::text));
        FOR claimed IN
            WITH each_hook AS (
                SELECT w.id, coalesce(s.slow, false) AS slow, (
                    SELECT count(*) FROM webhook_deliveries d
                    WHERE d.kennel_id = w.kennel_id AND d.webhook_id = w.id AND d.status = 'waiting' AND d.leased_until > now()
                ) AS in_flight
                FROM webhooks w LEFT JOIN webhook_standing s ON s.kennel_id = w.kennel_id AND s.webhook_id = w.id
                WHERE w.kennel_id = turn AND w.active
            ), hooks AS MATERIALIZED (
                SELECT e.*, sum(e.in_flight) OVER (PARTITION BY e.slow) AS in_flight_of_lane FROM each_hook e
            ), due AS MATERIALIZED (
                SELECT h.slow, d.id, h.in_flight_of_lane, row_number() OVER (PARTITION BY h.slow ORDER BY d.nth, d.sequence) AS place
                FROM hooks h CROSS JOIN LATERAL (
                    SELECT d.id, d.sequence, row_number() OVER (ORDER BY d.sequence) AS nth FROM webhook_deliveries d
                    WHERE d.kennel_id = turn AND d.webhook_id = h.id AND d.status = 'waiting'
                      AND (d.next_at <= now() OR d.next_at > now() + interval '2 days')
                      AND d.queued_at > now() - interval '4 days'
                    ORDER BY d.sequence
                    LIMIT greatest(CASE WHEN h.slow THEN slow_of_webhook ELSE quick_of_webhook END - h.in_flight, 0)
                ) d
            ), leased AS (
                -- By a list of ids, since a planner without statistics would else read the queue once a row.
                UPDATE webhook_deliveries d
                SET attempts = d.attempts + 1, next_at = now() + interval '1 second' * lease_seconds,
                    leased_until = now() + interval '1 second' * lease_seconds
                WHERE d.kennel_id = turn AND d.id = ANY (ARRAY(
                    -- One that somebody has in hand is left: they may wait for another of these.
                    SELECT o.id FROM webhook_deliveries o
                    WHERE o.kennel_id = turn AND o.status = 'waiting' AND o.id = ANY (ARRAY(
                        SELECT due.id FROM due
                        WHERE due.place + due.in_flight_of_lane <= CASE WHEN due.slow THEN slow_of_kennel ELSE quick_of_kennel END
                          AND due.place <= CASE WHEN due.slow THEN slow_places ELSE quick_places END))
                    FOR UPDATE SKIP LOCKED))
                RETURNING d.id, d.webhook_id, d.sequence, d.event, d.attempts
            )
            SELECT l.id, w.url, w.secret, due.slow, l.attempts, l.event, h.at, change_told(h) AS content
            FROM leased l
            JOIN due ON due.id = l.id
            JOIN webhooks w ON w.kennel_id = turn AND w.id = l.webhook_id
            JOIN changes h ON h.kennel_id = turn AND h.sequence = l.sequence
            ORDER BY l.sequence
        LOOP
            IF claimed.slow THEN slow_places := slow_places - 1; ELSE quick_places := quick_places - 1; END IF;
            kennel_id := turn; id := claimed.id; url := claimed.url; secret := claimed.secret; slow := claimed.slow;
            attempts := claimed.attempts; event := claimed.event; at := claimed.at; content := claimed.content;
            RETURN NEXT;
        END LOOP;
    END LOOP;
END $$;

-- `wait_seconds` null ends the tries. Answers whom to tell when the webhook was switched off by this:
-- whoever made it, or the owners when that person is gone.
CREATE OR REPLACE FUNCTION finish_webhook_delivery(kennel uuid, delivery uuid, good boolean, took_long boolean, http_status integer, error text,
    wait_seconds double precision, off_after_seconds double precision)
RETURNS TABLE (email text, kennel_name text, url text, failing_since timestamptz)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    -- Failed tries in a row without which nothing is switched off, should the clock have jumped.
    least_failures CONSTANT integer := 5;
    hook uuid; standing webhook_standing; gives_up boolean;
BEGIN
    SELECT d.webhook_id INTO hook FROM webhook_deliveries d WHERE d.kennel_id = kennel AND d.id = delivery;
    SELECT s.* INTO standing FROM webhook_standing s WHERE s.kennel_id = kennel AND s.webhook_id = hook;
    gives_up := NOT good AND coalesce(standing.failures + 1 >= least_failures
        AND standing.failing_since <= now() - interval '1 second' * off_after_seconds, false);
    IF gives_up THEN
        -- Before any row, as writers do it.
        PERFORM next_changes(kennel, 0);
    END IF;
    -- The webhook before its delivery, as whoever deletes it locks them.
    PERFORM FROM webhooks w WHERE w.kennel_id = kennel AND w.id = hook FOR KEY SHARE;
    UPDATE webhook_deliveries d SET
        status = CASE WHEN good THEN 'delivered' WHEN d.status = 'dropped' THEN d.status
                      WHEN wait_seconds IS NULL THEN 'dead' ELSE 'waiting' END,
        next_at = now() + interval '1 second' * coalesce(wait_seconds, 0), leased_until = NULL,
        last_status = http_status,
        last_error = CASE WHEN d.status = 'dropped' AND NOT good THEN d.last_error ELSE left(error, 500) END,
        delivered_at = CASE WHEN good THEN now() END
    WHERE d.kennel_id = kennel AND d.id = delivery;
    IF NOT FOUND THEN
        RETURN;
    END IF;
    INSERT INTO webhook_standing AS s (kennel_id, webhook_id, slow, failures, failing_since)
    VALUES (kennel, hook, NOT good OR took_long, CASE WHEN good THEN 0 ELSE 1 END, CASE WHEN good THEN NULL ELSE now() END)
    ON CONFLICT (kennel_id, webhook_id) DO UPDATE SET
        slow = EXCLUDED.slow,
        failures = CASE WHEN good THEN 0 ELSE s.failures + 1 END,
        failing_since = CASE WHEN good THEN NULL ELSE least(s.failing_since, now()) END;
    IF NOT gives_up THEN
        RETURN;
    END IF;
    UPDATE webhooks w SET active = false WHERE w.kennel_id = kennel AND w.id = hook AND w.active;
    IF NOT FOUND THEN
        RETURN;
    END IF;
    UPDATE webhook_standing s SET switched_off_at = now() WHERE s.kennel_id = kennel AND s.webhook_id = hook;
    UPDATE webhook_deliveries d SET status = 'dropped', last_error = 'the webhook was switched off, since it had failed for days'
    WHERE d.kennel_id = kennel AND d.webhook_id = hook AND d.status = 'waiting';
    RETURN QUERY
    WITH made AS (
        SELECT h.person_id FROM changes h JOIN memberships m ON m.kennel_id = h.kennel_id AND m.person_id = h.person_id
        WHERE h.kennel_id = kennel AND h.row_id = hook AND h.what = 'webhook' AND h.action = 'created'
    )
    SELECT p.email, k.name, w.url, standing.failing_since
    FROM memberships m JOIN people p ON p.id = m.person_id JOIN kennels k ON k.id = m.kennel_id
    JOIN webhooks w ON w.kennel_id = m.kennel_id AND w.id = hook
    WHERE m.kennel_id = kennel
      AND (m.person_id IN (SELECT person_id FROM made) OR m.role = 'owner' AND NOT EXISTS (SELECT FROM made));
END $$;

-- What somebody else has in hand is left for the next time: whoever waits with many rows in hand is waited for.
CREATE OR REPLACE FUNCTION clear_webhook_deliveries() RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    UPDATE webhook_deliveries d SET status = 'dropped', last_error = 'waited for more than 4 days'
    FROM (SELECT o.kennel_id, o.id FROM webhook_deliveries o
          WHERE o.status = 'waiting' AND o.queued_at <= now() - interval '4 days' AND coalesce(o.leased_until <= now(), true)
          FOR UPDATE SKIP LOCKED) old
    WHERE d.kennel_id = old.kennel_id AND d.id = old.id;
    DELETE FROM webhook_deliveries d
    USING (SELECT o.kennel_id, o.id FROM webhook_deliveries o
           WHERE o.status = 'delivered' AND o.created_at < now() - interval '30 days'
              OR o.status IN ('dead', 'dropped') AND o.created_at < now() - interval '180 days'
           FOR UPDATE SKIP LOCKED) old
    WHERE d.kennel_id = old.kennel_id AND d.id = old.id
$$;
