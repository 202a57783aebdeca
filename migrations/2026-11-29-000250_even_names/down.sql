-- No version is counted and nothing logged: what is recorded stays as it is.
ALTER TABLE health_plans DISABLE TRIGGER USER;
ALTER TABLE health_plan_versions DISABLE TRIGGER USER;
ALTER TABLE matings DISABLE TRIGGER USER;
ALTER TABLE places DISABLE TRIGGER USER;
ALTER TABLE whelping_lines DISABLE TRIGGER USER;
ALTER TABLE preparation_templates DISABLE TRIGGER USER;

UPDATE health_plans SET steps =
    replace(replace(replace(steps::text, '"anchor": "', '"from": "'), '"confirmation":', '"status":'), '"end":', '"until":')::jsonb
WHERE steps IS NOT NULL;
UPDATE health_plan_versions SET plan =
    replace(replace(replace(replace(plan::text, '"anchor": "', '"from": "'), '"confirmation":', '"status":'), '"end":', '"until":'), '"default":', '"by_default":')::jsonb
WHERE plan IS NOT NULL;
UPDATE matings SET ties =
    replace(ties::text, '"happened_at":', '"at":')::jsonb
WHERE ties IS NOT NULL;
UPDATE places SET closed =
    replace(replace(closed::text, '"first_on":', '"from":'), '"last_on":', '"to":')::jsonb
WHERE closed IS NOT NULL;
UPDATE whelping_lines SET event =
    replace(event::text, '"remedy":', '"what":')::jsonb
WHERE event IS NOT NULL;
UPDATE preparation_templates SET tasks =
    replace(replace(tasks::text, '"useful_days":', '"of_use_days":'), '"confirmation":', '"status":')::jsonb
WHERE tasks IS NOT NULL;
UPDATE preparation_templates SET supplies =
    replace(supplies::text, '"confirmation":', '"status":')::jsonb
WHERE supplies IS NOT NULL;

ALTER TABLE health_plans ENABLE TRIGGER USER;
ALTER TABLE health_plan_versions ENABLE TRIGGER USER;
ALTER TABLE matings ENABLE TRIGGER USER;
ALTER TABLE places ENABLE TRIGGER USER;
ALTER TABLE whelping_lines ENABLE TRIGGER USER;
ALTER TABLE preparation_templates ENABLE TRIGGER USER;
