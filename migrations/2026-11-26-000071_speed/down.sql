DROP INDEX kennels_own, booklet_links_of_dog, health_events_of_buyer, own_tasks_of_dog, own_tasks_of_litter,
    task_marks_of_dog, task_marks_of_litter;

DO $$
DECLARE wall record;
BEGIN
    FOR wall IN
        SELECT tablename, policyname, qual FROM pg_policies
        WHERE schemaname = 'public' AND (qual LIKE '%sees_all()%' OR qual LIKE '%sees_money()%')
    LOOP
        EXECUTE format('ALTER POLICY %I ON %I USING (%s)', wall.policyname, wall.tablename,
            regexp_replace(wall.qual, '\( SELECT (sees_\w+)\(\) AS \w+\)', '\1()', 'g'));
    END LOOP;
END $$;
