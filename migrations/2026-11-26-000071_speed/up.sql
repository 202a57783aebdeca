-- A function in the language sql is planned anew at each call; one in plpgsql keeps its plans as long as
-- the connection. These run at every request or every write.

CREATE FUNCTION membership_of(person uuid, kennel uuid)
RETURNS TABLE (id uuid, name text, time_zone text, jurisdiction text, currency text, role text, generation integer)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT k.id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role, p.generation
    FROM memberships m JOIN kennels k ON k.id = m.kennel_id JOIN people p ON p.id = m.person_id
    WHERE m.kennel_id = kennel AND m.person_id = person;
END $$;

-- Begins what one person does in one kennel: whose rows the transaction may see. It ends the promises of pups
-- whose last day is over, since nobody reads one that does not hold any more.
CREATE FUNCTION enter_kennel(kennel uuid, person uuid, sees text, money text, today date) RETURNS void
LANGUAGE plpgsql AS $$
BEGIN
    PERFORM set_config('denwright.kennel', kennel::text, true), set_config('denwright.person', person::text, true),
            set_config('denwright.sees', sees, true), set_config('denwright.money', money, true);
    PERFORM lapse_placements(today);
END $$;

CREATE OR REPLACE FUNCTION access_token_by_hash(hash bytea)
RETURNS TABLE (kennel_id uuid, person_id uuid, read_only boolean, areas text[])
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT t.kennel_id, t.person_id, t.read_only, t.areas FROM access_tokens t
    WHERE t.token_hash = hash AND (t.expires_at IS NULL OR t.expires_at > now());
END $$;

CREATE OR REPLACE FUNCTION my_dogs() RETURNS SETOF uuid
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    WITH shared AS (SELECT dog_id FROM shares WHERE kennel_id = current_kennel() AND person_id = current_person())
    SELECT dog_id FROM shared
    UNION
    SELECT births.dog_id FROM births JOIN litters ON litters.kennel_id = births.kennel_id AND litters.id = births.litter_id
    WHERE births.kennel_id = current_kennel()
      AND (litters.dam_id IN (SELECT dog_id FROM shared) OR litters.sire_id IN (SELECT dog_id FROM shared));
END $$;

CREATE OR REPLACE FUNCTION accounts_of(dogs uuid[])
RETURNS TABLE (dog_id uuid, kind text, price_minor bigint, currency text, balance_minor bigint, due_on date, paid_on date)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
BEGIN
    RETURN QUERY
    SELECT p.dog_id, p.kind, p.price_minor, p.currency,
           coalesce(p.price_minor, 0) + coalesce(sum(CASE
               WHEN e.kind IN ('extra', 'refund') THEN e.amount_minor
               WHEN e.kind IS NULL THEN 0
               ELSE -e.amount_minor END), 0)::bigint,
           p.balance_due_on, max(e.paid_on) FILTER (WHERE e.kind IN ('deposit', 'payment'))
    FROM placements p LEFT JOIN payments e ON e.kennel_id = p.kennel_id AND e.placement_id = p.id
    WHERE p.kennel_id = current_kennel() AND p.dog_id = ANY (dogs)
      AND p.stage IN ('reserved', 'confirmed', 'handed_over') AND p.kind IN ('sale', 'family', 'co_owner')
    GROUP BY p.kennel_id, p.id;
END $$;

CREATE OR REPLACE FUNCTION dogs_of_row(what text, content jsonb) RETURNS uuid[] LANGUAGE plpgsql IMMUTABLE AS $$
BEGIN
    IF what = 'dog' THEN
        RETURN ARRAY[(content->>'id')::uuid];
    END IF;
    RETURN array_remove(
        ARRAY[(content->>'dog_id')::uuid, (content->>'dam_id')::uuid, (content->>'sire_id')::uuid], NULL);
END $$;

-- What a policy asks of the transaction is asked once a statement, not once a row: so reads the subquery.
-- A policy of a later migration writes (SELECT sees_all()) from the start.
DO $$
DECLARE wall record;
BEGIN
    FOR wall IN
        SELECT tablename, policyname, qual FROM pg_policies
        WHERE schemaname = 'public' AND (qual LIKE '%sees_all()%' OR qual LIKE '%sees_money()%')
    LOOP
        EXECUTE format('ALTER POLICY %I ON %I USING (%s)', wall.policyname, wall.tablename,
            replace(replace(wall.qual, 'sees_all()', '(SELECT sees_all())'), 'sees_money()', '(SELECT sees_money())'));
    END LOOP;
END $$;

-- Each kennel finds its own row, and each row that is referred to finds those that refer to it, without
-- a look at other kennels.
CREATE UNIQUE INDEX kennels_own ON kennels (kennel_id);
CREATE INDEX booklet_links_of_dog ON booklet_links (kennel_id, dog_id);
CREATE INDEX health_events_of_buyer ON health_events (kennel_id, buyer_id) WHERE buyer_id IS NOT NULL;
CREATE INDEX own_tasks_of_dog ON own_tasks (kennel_id, dog_id) WHERE dog_id IS NOT NULL;
CREATE INDEX own_tasks_of_litter ON own_tasks (kennel_id, litter_id) WHERE litter_id IS NOT NULL;
CREATE INDEX task_marks_of_dog ON task_marks (kennel_id, dog_id) WHERE dog_id IS NOT NULL;
CREATE INDEX task_marks_of_litter ON task_marks (kennel_id, litter_id) WHERE litter_id IS NOT NULL;
