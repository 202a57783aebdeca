CREATE OR REPLACE FUNCTION claim_letters(moment timestamptz, most integer, lease_seconds integer)
RETURNS TABLE (lease uuid, kennel_id uuid, membership_id uuid, person_id uuid, role text, choices jsonb,
               name text, time_zone text, jurisdiction text, currency text)
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    WITH due AS MATERIALIZED (
        SELECT l.kennel_id, l.membership_id FROM letters l
        WHERE (l.next_at <= moment OR l.next_at > moment + interval '4 days') AND (l.leased_until IS NULL OR l.leased_until <= now())
        ORDER BY l.next_at LIMIT most FOR UPDATE SKIP LOCKED
    ), leased AS (
        UPDATE letters l SET lease = gen_random_uuid(), leased_until = now() + interval '1 second' * lease_seconds
        FROM due WHERE l.kennel_id = due.kennel_id AND l.membership_id = due.membership_id
        RETURNING l.lease, l.kennel_id, l.membership_id
    )
    SELECT l.lease, l.kennel_id, l.membership_id, m.person_id, m.role, c.choices, k.name, k.time_zone, k.jurisdiction, k.currency
    FROM leased l
    JOIN memberships m ON m.kennel_id = l.kennel_id AND m.id = l.membership_id
    JOIN ring_choices c ON c.kennel_id = l.kennel_id AND c.membership_id = l.membership_id
    JOIN kennels k ON k.id = l.kennel_id;
END $$;

-- Enters a kennel to read what its member has to do, and nothing of money. Such a transaction writes nothing.
CREATE OR REPLACE FUNCTION enter_kennel_for_letter(of_lease uuid) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE m memberships;
BEGIN
    SELECT o.* INTO m FROM letters l JOIN memberships o ON o.kennel_id = l.kennel_id AND o.id = l.membership_id
    WHERE l.lease = of_lease AND l.leased_until > now();
    IF m.id IS NULL THEN
        PERFORM set_config('denwright.proof', '', true);
        RAISE no_data_found USING MESSAGE = 'no such lease';
    END IF;
    PERFORM set_config('transaction_read_only', 'on', true);
    PERFORM sign_scope(m.kennel_id, m.person_id, m.id, rights_of(m.role, '{placing}'));
END $$;

-- Has the letter of a day mailed, once; null content when nothing is due.
CREATE OR REPLACE FUNCTION finish_letter(of_lease uuid, moment timestamptz, next timestamptz, of_day integer, content jsonb) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE l letters;
BEGIN
    -- The membership before its letter, as whoever ends it locks them.
    PERFORM FROM memberships m JOIN letters o ON o.kennel_id = m.kennel_id AND o.membership_id = m.id
    WHERE o.lease = of_lease FOR KEY SHARE OF m;
    SELECT o.* INTO l FROM letters o WHERE o.lease = of_lease AND o.leased_until > now() FOR UPDATE;
    IF l.lease IS NULL THEN
        RETURN;
    END IF;
    IF content IS NOT NULL THEN
        INSERT INTO rings (kennel_id, id, membership_id, person_id, alarm_id, turn, way, due_at, content)
        VALUES (l.kennel_id, gen_random_uuid(), l.membership_id, l.person_id, l.membership_id, of_day, 'mail', moment, content)
        ON CONFLICT DO NOTHING;
    END IF;
    UPDATE letters o SET next_at = next, lease = NULL, leased_until = NULL WHERE o.lease = of_lease;
END $$;

-- Ends the letters of a membership; whether there were any. Who asks holds what was sealed for it.
CREATE OR REPLACE FUNCTION end_letters(of_kennel uuid, of_membership uuid) RETURNS boolean
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE ring_choices c SET choices = jsonb_set(c.choices, '{letter_at}', 'null')
    WHERE c.kennel_id = of_kennel AND c.membership_id = of_membership AND c.choices->>'letter_at' IS NOT NULL;
    DELETE FROM letters l WHERE l.kennel_id = of_kennel AND l.membership_id = of_membership;
    RETURN FOUND;
END $$;
