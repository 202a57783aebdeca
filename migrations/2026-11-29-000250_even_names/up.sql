-- Members of stored objects are called as in the interface. Within a text a quotation mark has a backslash before
-- it, so that a name with its own is never found there.

-- No version is counted and nothing logged: what is recorded stays as it is.
ALTER TABLE health_plans DISABLE TRIGGER USER;
ALTER TABLE health_plan_versions DISABLE TRIGGER USER;
ALTER TABLE matings DISABLE TRIGGER USER;
ALTER TABLE places DISABLE TRIGGER USER;
ALTER TABLE whelping_lines DISABLE TRIGGER USER;
ALTER TABLE preparation_templates DISABLE TRIGGER USER;

UPDATE health_plans SET steps =
    replace(replace(replace(steps::text, '"from": "', '"anchor": "'), '"status":', '"confirmation":'), '"until":', '"end":')::jsonb
WHERE steps IS NOT NULL;
UPDATE health_plan_versions SET plan =
    replace(replace(replace(replace(plan::text, '"from": "', '"anchor": "'), '"status":', '"confirmation":'), '"until":', '"end":'), '"by_default":', '"default":')::jsonb
WHERE plan IS NOT NULL;
UPDATE matings SET ties =
    replace(ties::text, '"at":', '"happened_at":')::jsonb
WHERE ties IS NOT NULL;
UPDATE places SET closed =
    replace(replace(closed::text, '"from":', '"first_on":'), '"to":', '"last_on":')::jsonb
WHERE closed IS NOT NULL;
UPDATE whelping_lines SET event =
    replace(event::text, '"what":', '"remedy":')::jsonb
WHERE event IS NOT NULL;
UPDATE preparation_templates SET tasks =
    replace(replace(tasks::text, '"of_use_days":', '"useful_days":'), '"status":', '"confirmation":')::jsonb
WHERE tasks IS NOT NULL;
UPDATE preparation_templates SET supplies =
    replace(supplies::text, '"status":', '"confirmation":')::jsonb
WHERE supplies IS NOT NULL;

ALTER TABLE health_plans ENABLE TRIGGER USER;
ALTER TABLE health_plan_versions ENABLE TRIGGER USER;
ALTER TABLE matings ENABLE TRIGGER USER;
ALTER TABLE places ENABLE TRIGGER USER;
ALTER TABLE whelping_lines ENABLE TRIGGER USER;
ALTER TABLE preparation_templates ENABLE TRIGGER USER;
