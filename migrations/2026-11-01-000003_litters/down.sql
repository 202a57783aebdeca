CREATE OR REPLACE FUNCTION my_dogs() RETURNS SETOF uuid
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT dog_id FROM shares WHERE kennel_id = current_kennel() AND person_id = current_person()
$$;
DROP TABLE births, litters, pregnancy_checks, matings, heat_readings, heats;
