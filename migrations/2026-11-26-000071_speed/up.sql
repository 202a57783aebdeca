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
