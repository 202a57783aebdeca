ALTER TABLE supplies DROP COLUMN counted_on;
ALTER TABLE dogs DROP COLUMN came_on;
-- Plans that a kennel wrote for grown dogs stay; no more of them are taken.
ALTER TABLE health_plans
    DROP CONSTRAINT health_plans_subject_check,
    ADD CONSTRAINT health_plans_subject_check CHECK (subject IN ('pup', 'dam')) NOT VALID;
