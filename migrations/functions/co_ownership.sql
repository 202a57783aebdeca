-- What statements between co-owners rest on. A statement holds also for dogs in which somebody held a share then and
-- holds none today, so these look past the walls: for a person without sight of all dogs, at the money and the shares of
-- dogs in which they hold or held one, and of the pups of such dams. The service tells of these the lines of the days
-- on which they held it, and no other holder's.

CREATE OR REPLACE FUNCTION dogs_of_statements() RETURNS SETOF uuid
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE asked proven_scope;
BEGIN
    SELECT * INTO asked FROM proven_scope;
    IF NOT coalesce(asked.may_money, false) THEN
        RETURN;
    ELSIF asked.all_dogs THEN
        RETURN QUERY SELECT d.id FROM dogs d WHERE d.kennel_id = asked.kennel;
        RETURN;
    END IF;
    RETURN QUERY
    WITH held AS (
        SELECT s.dog_id FROM shares s WHERE s.kennel_id = asked.kennel AND s.person_id = asked.person
        UNION SELECT f.dog_id FROM former_shares f WHERE f.kennel_id = asked.kennel AND f.person_id = asked.person)
    SELECT dog_id FROM held
    UNION SELECT b.dog_id FROM births b JOIN litters l ON l.kennel_id = b.kennel_id AND l.id = b.litter_id
    WHERE b.kennel_id = asked.kennel AND l.dam_id IN (SELECT dog_id FROM held);
END $$;

-- Shares now and before, in these dogs and in the dams of pups among them.
CREATE OR REPLACE FUNCTION shares_of_statements()
RETURNS TABLE (dog_id uuid, person_id uuid, numerator integer, denominator integer, held_from date, held_until date)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    kennel CONSTANT uuid := current_kennel();
    told CONSTANT uuid[] := ARRAY(SELECT dogs_of_statements());
    dams CONSTANT uuid[] := ARRAY(
        SELECT l.dam_id FROM births b JOIN litters l ON l.kennel_id = b.kennel_id AND l.id = b.litter_id
        WHERE b.kennel_id = kennel AND b.dog_id = ANY (told));
BEGIN
    RETURN QUERY
    SELECT s.dog_id, s.person_id, s.numerator, s.denominator, s.held_from, NULL::date FROM shares s
    WHERE s.kennel_id = kennel AND s.dog_id = ANY (told || dams)
    UNION ALL
    SELECT f.dog_id, f.person_id, f.numerator, f.denominator, f.held_from, f.held_until FROM former_shares f
    WHERE f.kennel_id = kennel AND f.dog_id = ANY (told || dams);
END $$;

-- Payments and costs as they were recorded. Of placements with an entry in the span all that was recorded, since what is
-- paid back goes by what was received.
CREATE OR REPLACE FUNCTION money_of_statements(first_on date, last_on date)
RETURNS TABLE (id uuid, kind text, amount_minor bigint, currency text, paid_on date, placement_id uuid,
               litter_id uuid, dog_id uuid, dam_id uuid, about text)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    kennel CONSTANT uuid := current_kennel();
    told CONSTANT uuid[] := ARRAY(SELECT dogs_of_statements());
    everything CONSTANT boolean := sees_all() AND has_right('money');
BEGIN
    RETURN QUERY
    SELECT e.id, CASE e.kind WHEN 'refund' THEN 'refund' ELSE 'income' END, e.amount_minor, e.currency, e.paid_on,
           e.placement_id, b.litter_id, p.dog_id, l.dam_id, coalesce(d.name, d.call_name)
    FROM payments e
    JOIN placements p ON p.kennel_id = e.kennel_id AND p.id = e.placement_id
    JOIN dogs d ON d.kennel_id = p.kennel_id AND d.id = p.dog_id
    LEFT JOIN births b ON b.kennel_id = p.kennel_id AND b.dog_id = p.dog_id
    LEFT JOIN litters l ON l.kennel_id = b.kennel_id AND l.id = b.litter_id
    WHERE e.kennel_id = kennel AND p.dog_id = ANY (told) AND e.kind IN ('deposit', 'payment', 'refund')
      AND EXISTS (SELECT FROM payments o WHERE o.kennel_id = kennel AND o.placement_id = e.placement_id
                  AND o.paid_on BETWEEN first_on AND last_on)
    UNION ALL
    SELECT c.id, 'cost', c.amount_minor, c.currency, c.paid_on, NULL, c.litter_id, NULL, l.dam_id, c.what
    FROM costs c LEFT JOIN litters l ON l.kennel_id = c.kennel_id AND l.id = c.litter_id
    WHERE c.kennel_id = kennel AND c.paid_on BETWEEN first_on AND last_on
      AND (everything OR l.dam_id = ANY (told))
    ORDER BY 1;
END $$;

-- The pups that were born alive, with the day on which the first of their litter was, by the kennel's clock.
CREATE OR REPLACE FUNCTION pups_of_statements(first_on date, last_on date)
RETURNS TABLE (litter_id uuid, name text, dam_id uuid, whelped_on date, dog_id uuid, is_divided boolean)
LANGUAGE plpgsql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
#variable_conflict use_column
DECLARE
    kennel CONSTANT uuid := current_kennel();
    told CONSTANT uuid[] := ARRAY(SELECT dogs_of_statements());
BEGIN
    RETURN QUERY
    WITH whelped AS (
        SELECT b.litter_id, min(b.born_at AT TIME ZONE k.time_zone)::date AS on_day
        FROM births b JOIN kennels k ON k.id = b.kennel_id
        WHERE b.kennel_id = kennel GROUP BY b.litter_id)
    SELECT l.id, l.name, l.dam_id, w.on_day, b.dog_id,
           d.died_on IS NULL OR EXISTS (
               SELECT FROM placements p WHERE p.kennel_id = kennel AND p.dog_id = d.id AND p.stage = 'handed_over'
               AND p.kind <> 'return' AND p.handed_over_on <= d.died_on)
    FROM whelped w
    JOIN litters l ON l.kennel_id = kennel AND l.id = w.litter_id
    JOIN births b ON b.kennel_id = kennel AND b.litter_id = l.id AND b.outcome = 'alive'
    JOIN dogs d ON d.kennel_id = kennel AND d.id = b.dog_id
    WHERE w.on_day BETWEEN first_on AND last_on AND b.dog_id = ANY (told)
    ORDER BY w.on_day, l.id, b.id;
END $$;
