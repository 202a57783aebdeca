-- Whoever begins to listen has the kennel looked at.
CREATE OR REPLACE FUNCTION watch_kennel() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO ring_watches (kennel_id, next_at) VALUES (NEW.kennel_id, 'epoch')
    ON CONFLICT (kennel_id) DO UPDATE SET next_at = 'epoch', routine = false;
    PERFORM pg_notify('denwright_changes', NEW.kennel_id::text);
    RETURN NULL;
END $$;

-- Whether a webhook of the kennel is told of alarms.
CREATE OR REPLACE FUNCTION hooks_hear_alarms(of_kennel uuid) RETURNS boolean LANGUAGE sql STABLE AS $$
    SELECT EXISTS (SELECT FROM webhooks w WHERE w.kennel_id = of_kennel AND w.active AND (w.events = '[]' OR w.events ? 'alarm'
        OR w.events ?| '{alarm.raised,alarm.worse,alarm.seen,alarm.over}'))
$$;

-- Takes kennels whose moment has come, and of those that were `woken` (null for all) the ones that have changed
-- since they were looked at. Who waits for something comes before what is only looked at now and then. A moment
-- that lies days ahead was set while the clock was.
CREATE OR REPLACE FUNCTION claim_ring_watches(moment timestamptz, woken uuid[], most integer, lease_seconds integer)
RETURNS TABLE (lease uuid, kennel_id uuid, name text, time_zone text, jurisdiction text, currency text,
               sequence bigint, audiences text[], hooks boolean)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    WITH due AS (
        SELECT w.kennel_id FROM ring_watches w
        WHERE (w.leased_until IS NULL OR w.leased_until <= now())
          AND (w.next_at <= moment OR (w.next_at > moment + interval '2 days' AND w.next_at < 'infinity')
               OR (w.next_at < 'infinity' AND (woken IS NULL OR w.kennel_id = ANY (woken))
                   AND (SELECT h.sequence FROM change_heads h WHERE h.kennel_id = w.kennel_id) > w.looked_sequence))
        ORDER BY (w.routine AND NOT EXISTS (
                      SELECT FROM change_heads h WHERE h.kennel_id = w.kennel_id AND h.sequence > w.looked_sequence)),
                 w.next_at
        LIMIT most FOR UPDATE SKIP LOCKED
    ), leased AS (
        -- Who begins to listen from now on sets the moment to `epoch`, and is heard after this look.
        UPDATE ring_watches w SET next_at = moment, lease = gen_random_uuid(), leased_until = now() + interval '1 second' * lease_seconds
        FROM due WHERE w.kennel_id = due.kennel_id
        RETURNING w.lease, w.kennel_id, w.audiences
    )
    SELECT l.lease, l.kennel_id, k.name, k.time_zone, k.jurisdiction, k.currency,
           coalesce((SELECT h.sequence FROM change_heads h WHERE h.kennel_id = l.kennel_id), 0),
           l.audiences, hooks_hear_alarms(l.kennel_id)
    FROM leased l JOIN kennels k ON k.id = l.kennel_id;
END $$;

-- Enters the kennel of a lease to read its dogs, and nothing that needs a further right: as nobody who sees
-- all, or with the eyes of one co-owner. Such a transaction writes nothing.
CREATE OR REPLACE FUNCTION enter_kennel_to_ring(of_lease uuid, co_owner uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; who uuid;
BEGIN
    SELECT w.kennel_id INTO kennel FROM ring_watches w WHERE w.lease = of_lease AND w.leased_until > now();
    IF co_owner IS NOT NULL THEN
        SELECT m.person_id INTO who FROM memberships m JOIN ring_choices c ON c.kennel_id = m.kennel_id AND c.membership_id = m.id
        WHERE m.kennel_id = kennel AND m.id = co_owner AND m.role = 'co_owner';
    END IF;
    IF kennel IS NULL OR (co_owner IS NOT NULL AND who IS NULL) THEN
        PERFORM set_config('denwright.proof', '', true);
        RAISE no_data_found USING MESSAGE = 'no such lease';
    END IF;
    PERFORM set_config('transaction_read_only', 'on', true);
    PERFORM sign_scope(kennel, who, co_owner, CASE WHEN co_owner IS NULL THEN rights_of('viewer', '{}') ELSE '' END);
END $$;

-- Enters the kennel of a lease to read what a member has to do whom tasks ring, and nothing of money. Such a
-- transaction writes nothing.
CREATE OR REPLACE FUNCTION enter_kennel_for_task_rings(of_lease uuid, of_member uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE m memberships;
BEGIN
    SELECT o.* INTO m FROM ring_watches w
    JOIN memberships o ON o.kennel_id = w.kennel_id AND o.id = of_member
    JOIN ring_choices c ON c.kennel_id = o.kennel_id AND c.membership_id = o.id AND c.choices->>'tasks_at' IS NOT NULL
    WHERE w.lease = of_lease AND w.leased_until > now();
    IF m.id IS NULL THEN
        PERFORM set_config('denwright.proof', '', true);
        RAISE no_data_found USING MESSAGE = 'no such lease';
    END IF;
    PERFORM set_config('transaction_read_only', 'on', true);
    PERFORM sign_scope(m.kennel_id, m.person_id, m.id, rights_of(m.role, '{placing}'));
END $$;

-- Who wants to be rung in the kennel of a lease.
CREATE OR REPLACE FUNCTION ring_listeners(of_lease uuid, moment timestamptz)
RETURNS TABLE (membership_id uuid, person_id uuid, role text, choices jsonb, devices uuid[], on_duty boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.id, m.person_id, m.role, c.choices,
        ARRAY(SELECT s.id FROM push_devices s WHERE s.kennel_id = m.kennel_id AND s.membership_id = m.id ORDER BY s.id),
        EXISTS (SELECT FROM duty_rosters d, jsonb_array_elements(d.turns) AS t
                WHERE d.kennel_id = m.kennel_id AND (t->>'person_id')::uuid = m.person_id
                  AND (t->>'begins_at')::timestamptz <= moment AND (t->>'ends_at')::timestamptz > moment)
    FROM ring_watches w
    JOIN ring_choices c ON c.kennel_id = w.kennel_id
    JOIN memberships m ON m.kennel_id = c.kennel_id AND m.id = c.membership_id
    WHERE w.lease = of_lease AND w.leased_until > now() AND c.choices->'ways' <> '[]'
    ORDER BY m.id
$$;

CREATE OR REPLACE FUNCTION alarms_told(of_lease uuid)
RETURNS TABLE (audience text, alarm_id uuid, alarm jsonb, level text, turn integer, seen boolean, over boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT s.audience, s.alarm_id, s.alarm, s.level, s.turn, s.seen, s.over
    FROM ring_watches w JOIN alarm_states s ON s.kennel_id = w.kennel_id
    WHERE w.lease = of_lease AND w.leased_until > now()
$$;

-- Keeps what a look has found, and gives the kennel back: what was told, what is to ring, what webhooks are
-- told. Null and nothing kept when the lease is over; else whether the kennel has changed meanwhile.
CREATE OR REPLACE FUNCTION keep_ring_look(of_lease uuid, looked bigint, heard text[], next timestamptz, is_routine boolean, states jsonb, due jsonb, events jsonb)
RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    of_kennel uuid; base bigint := -1; head bigint; again boolean; count CONSTANT integer := jsonb_array_length(events);
BEGIN
    SELECT w.kennel_id INTO of_kennel FROM ring_watches w WHERE w.lease = of_lease AND w.leased_until > now();
    IF of_kennel IS NULL THEN
        RETURN NULL;
    END IF;
    IF count > 0 THEN
        -- Before any row, as writers do it.
        base := next_changes(of_kennel, count);
    END IF;
    PERFORM FROM ring_watches w WHERE w.lease = of_lease AND w.leased_until > now() FOR UPDATE;
    IF NOT FOUND THEN
        RAISE no_data_found USING MESSAGE = 'the lease is over';
    END IF;
    INSERT INTO changes (kennel_id, sequence, what, row_id, action, after, dog_ids)
    SELECT of_kennel, base + e.nth, 'alarm', (e.event->'alarm'->>'id')::uuid, e.event->>'action', e.event->'alarm',
           array_remove(ARRAY[(e.event->'alarm'->>'dog_id')::uuid], NULL)
    FROM jsonb_array_elements(events) WITH ORDINALITY AS e (event, nth);
    INSERT INTO alarm_states AS s (kennel_id, audience, alarm_id, alarm, level, turn, seen, over, told_at)
    SELECT of_kennel, n.audience, n.alarm_id, n.alarm, n.level, n.turn, n.seen, n.over, now()
    FROM jsonb_to_recordset(states) AS n (audience text, alarm_id uuid, alarm jsonb, level text, turn integer, seen boolean, over boolean)
    ON CONFLICT (kennel_id, audience, alarm_id) DO UPDATE
    SET alarm = EXCLUDED.alarm, level = EXCLUDED.level, turn = EXCLUDED.turn, seen = EXCLUDED.seen, over = EXCLUDED.over, told_at = now();
    INSERT INTO rings (kennel_id, id, membership_id, person_id, audience, alarm_id, turn, way, device_id, due_at, content)
    SELECT of_kennel, n.id, n.membership_id, m.person_id, n.audience, n.alarm_id, n.turn, n.way, n.device_id, n.due_at, n.content
    FROM jsonb_to_recordset(due) AS n (id uuid, membership_id uuid, audience text, alarm_id uuid, turn integer, way text,
                                       device_id uuid, due_at timestamptz, content jsonb)
    JOIN memberships m ON m.kennel_id = of_kennel AND m.id = n.membership_id
    ON CONFLICT DO NOTHING;
    IF next = 'infinity' THEN
        DELETE FROM alarm_states s WHERE s.kennel_id = of_kennel;
    END IF;
    SELECT h.sequence INTO head FROM change_heads h WHERE h.kennel_id = of_kennel;
    UPDATE ring_watches w
    SET lease = NULL, leased_until = NULL, audiences = heard,
        next_at = CASE WHEN w.next_at = 'epoch' THEN w.next_at ELSE next END,
        routine = is_routine AND w.next_at <> 'epoch',
        -- Its own entries are no reason to look again.
        looked_sequence = CASE WHEN base = looked THEN base + count ELSE looked END
    WHERE w.lease = of_lease
    RETURNING w.next_at = 'epoch' OR head > w.looked_sequence INTO again;
    RETURN coalesce(again, false);
END $$;

-- Gives back a kennel that could not be looked at; it is tried again soon.
CREATE OR REPLACE FUNCTION put_off_ring_look(of_lease uuid) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    UPDATE ring_watches SET leased_until = now() + interval '5 seconds' WHERE lease = of_lease
$$;

-- Takes rings that are due. What nobody needs to hear any more is dropped: the alarm was seen, it or the task is
-- over or has turned again, the way was switched off, the device is gone, or whoever was invited has come. An invitation
-- goes to the address that it is for. Services that answer slowly have places of their own, so that they never take
-- those of the others; no kennel has all places, and no slow service.
CREATE OR REPLACE FUNCTION claim_rings(moment timestamptz, quick_places integer, slow_places integer, slow_services text[], lease_seconds integer)
RETURNS TABLE (id uuid, kennel_id uuid, way text, service text, slow boolean, attempts integer, content jsonb, secret bytea, email text, patient boolean)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    -- Under way at once, of a kennel and of a service.
    of_kennel CONSTANT integer := 16; of_slow_service CONSTANT integer := 64;
BEGIN
    RETURN QUERY
    WITH waiting AS MATERIALIZED (
        SELECT r.id, r.kennel_id, r.due_at, coalesce(d.host, r.way) AS service, coalesce(d.host, r.way) = ANY (slow_services) AS slow,
            coalesce(r.leased_until > now(), false) AS under_way,
            (r.due_at <= moment OR r.due_at > moment + interval '4 days') AND r.retry_at <= now() AS is_due
        FROM rings r LEFT JOIN push_devices d ON d.kennel_id = r.kennel_id AND d.id = r.device_id
        WHERE r.status = 'waiting'
    ), ranked AS (
        SELECT w.id, w.due_at, w.slow, w.under_way,
            row_number() OVER (PARTITION BY w.kennel_id, w.slow ORDER BY w.under_way DESC, w.due_at, w.id) AS in_kennel,
            row_number() OVER (PARTITION BY w.service ORDER BY w.under_way DESC, w.due_at, w.id) AS in_service
        FROM waiting w WHERE w.under_way OR w.is_due
    ), placed AS MATERIALIZED (
        SELECT k.id, k.slow, row_number() OVER (PARTITION BY k.slow ORDER BY k.due_at, k.id) AS place
        FROM ranked k WHERE NOT k.under_way AND k.in_kennel <= of_kennel AND (NOT k.slow OR k.in_service <= of_slow_service)
    ), due AS MATERIALIZED (
        SELECT r.id FROM rings r
        WHERE r.id = ANY (ARRAY(SELECT p.id FROM placed p WHERE p.place <= CASE WHEN p.slow THEN slow_places ELSE quick_places END))
          AND r.status = 'waiting' AND r.retry_at <= now() AND (r.leased_until IS NULL OR r.leased_until <= now())
        FOR UPDATE SKIP LOCKED
    ), judged AS MATERIALIZED (
        SELECT r.id, coalesce(i.email, p.email) AS email, d.secret, w.service, w.slow,
            (r.way = 'push' AND d.id IS NULL)
            OR coalesce(i.accepted_at IS NOT NULL OR i.expires_at <= now(), false)
            OR (r.audience IS NOT NULL AND NOT coalesce(c.choices->'ways' ? r.way, false))
            OR (r.audience IS NOT NULL AND r.audience LIKE 'tasks:%' AND c.choices->>'tasks_at' IS NULL)
            OR (r.audience IS NOT NULL AND NOT EXISTS (
                SELECT FROM alarm_states s WHERE s.kennel_id = r.kennel_id AND s.audience = r.audience AND s.alarm_id = r.alarm_id
                  AND s.turn = r.turn AND NOT s.seen AND NOT s.over)) AS idle
        FROM due JOIN rings r ON r.id = due.id JOIN waiting w ON w.id = due.id JOIN people p ON p.id = r.person_id
        LEFT JOIN ring_choices c ON c.kennel_id = r.kennel_id AND c.membership_id = r.membership_id
        LEFT JOIN push_devices d ON d.kennel_id = r.kennel_id AND d.id = r.device_id
        LEFT JOIN invitations i ON i.kennel_id = r.kennel_id AND i.id = r.invitation_id
    ), dropped AS (
        UPDATE rings r SET status = 'dropped', content = '{}' FROM judged j WHERE r.id = j.id AND j.idle
    ), leased AS (
        UPDATE rings r SET attempts = r.attempts + 1, leased_until = now() + interval '1 second' * lease_seconds
        FROM judged j WHERE r.id = j.id AND NOT j.idle
        RETURNING r.id, r.kennel_id, r.way, j.service, j.slow, r.attempts, r.content, j.secret, j.email, r.patient
    )
    SELECT l.id, l.kennel_id, l.way, l.service, l.slow, l.attempts, l.content, l.secret, l.email, l.patient FROM leased l;
END $$;

-- Writes down what became of a try; `wait_seconds` null ends them. A device that is gone is forgotten wherever
-- it was entered.
CREATE OR REPLACE FUNCTION finish_ring(ring uuid, good boolean, gone boolean, error text, wait_seconds double precision) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    -- Devices before the ring, as the end of a membership locks them.
    IF gone THEN
        DELETE FROM push_devices d WHERE d.token_hash IN (
            SELECT g.token_hash FROM rings r JOIN push_devices g ON g.kennel_id = r.kennel_id AND g.id = r.device_id WHERE r.id = ring);
    END IF;
    UPDATE rings r SET
        status = CASE WHEN good THEN 'sent' WHEN gone OR wait_seconds IS NULL THEN 'dead' ELSE 'waiting' END,
        retry_at = now() + interval '1 second' * coalesce(wait_seconds, 0), leased_until = NULL,
        last_error = left(error, 500), sent_at = CASE WHEN good THEN now() END,
        -- What was said is in the list of alarms and tasks; here nobody needs it any more.
        content = CASE WHEN good OR gone OR wait_seconds IS NULL THEN '{}' ELSE r.content END
    WHERE r.id = ring;
END $$;

-- Makes room for a device of the person of this transaction: it was entered before under the same address, or
-- they have twenty already.
CREATE OR REPLACE FUNCTION make_room_for_device(hash bytea) RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    DELETE FROM push_devices d USING proven_scope s
    WHERE d.kennel_id = s.kennel AND d.person_id = s.person
      AND (d.token_hash = hash OR d.id IN (
          SELECT o.id FROM push_devices o WHERE o.kennel_id = s.kennel AND o.person_id = s.person ORDER BY o.id DESC OFFSET 19))
$$;

-- The key that shows who sends, sealed; the fresh one when there is none yet.
CREATE OR REPLACE FUNCTION push_key(fresh bytea) RETURNS bytea
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    INSERT INTO vapid_key (secret) VALUES (fresh) ON CONFLICT DO NOTHING;
    RETURN (SELECT k.secret FROM vapid_key k);
END $$;

-- What somebody else has in hand is left for the next time.
CREATE OR REPLACE FUNCTION clear_rings() RETURNS void
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    DELETE FROM rings r USING (SELECT o.id FROM rings o WHERE o.created_at < now() - interval '30 days' FOR UPDATE SKIP LOCKED) old
    WHERE r.id = old.id;
    DELETE FROM alarm_states WHERE over AND told_at < now() - interval '90 days'
$$;
