-- Each word of the log of changes belongs to a right, so that the log tells no more than a direct read.

\ir ../functions/log.sql

-- Walls that hold what a direct read asks for.
DROP POLICY of_kennel ON changes;
ALTER POLICY of_kennel ON payments USING (kennel_id = current_kennel() AND (SELECT has_right('money'))
    AND ((SELECT sees_all()) OR placement_id IN (SELECT id FROM placements)));
ALTER POLICY of_kennel ON costs USING (kennel_id = current_kennel() AND (SELECT has_right('money'))
    AND ((SELECT sees_all()) OR litter_id IN (SELECT id FROM litters)));
ALTER POLICY of_kennel ON shares USING (kennel_id = current_kennel() AND (SELECT has_right('money'))
    AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs())));
ALTER POLICY of_kennel ON follow_ups USING (kennel_id = current_kennel() AND (SELECT has_right('placing'))
    AND ((SELECT sees_all()) OR placement_id IN (SELECT id FROM placements)));
ALTER POLICY of_kennel ON booklet_links USING (kennel_id = current_kennel() AND (SELECT has_right('placing'))
    AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs())));
ALTER POLICY of_kennel ON invitations USING (kennel_id = current_kennel() AND (SELECT has_right('managing')));
ALTER POLICY of_kennel ON webhooks USING (kennel_id = current_kennel() AND (SELECT has_right('managing')));
ALTER POLICY of_kennel ON webhook_deliveries USING (kennel_id = current_kennel() AND (SELECT has_right('managing')));
ALTER POLICY of_kennel ON access_tokens USING (kennel_id = current_kennel()
    AND (person_id = current_person() OR (SELECT has_right('managing'))));
ALTER POLICY of_kennel ON calendar_links USING (kennel_id = current_kennel()
    AND (person_id = current_person() OR (SELECT has_right('managing'))));
-- What was done about a call to a new owner is read by those who place pups, as the call is.
ALTER POLICY of_kennel ON task_marks USING (kennel_id = current_kennel()
    AND ((SELECT sees_all()) OR ((litter_id IS NULL OR litter_id IN (SELECT id FROM litters))
                                 AND (dog_id IS NULL OR dog_id IN (SELECT my_dogs()))))
    AND (key NOT LIKE 'placement:%' OR (SELECT has_right('placing'))));

-- What each word of the log needs to be read: the right that a direct read of its rows needs. `wide` rows
-- that name no dog and no litter are everybody's in the kennel. A word that is not here is told to nobody
-- but those who have all rights.
CREATE TABLE log_words (
    word  text PRIMARY KEY,
    needs text NOT NULL CHECK (needs IN ('dogs', 'observations', 'breeding', 'placing', 'money', 'managing')),
    wide  boolean NOT NULL
);
-- Fields that need a further right; without it they are told as null.
CREATE TABLE log_fields (
    word  text NOT NULL REFERENCES log_words,
    field text NOT NULL,
    needs text NOT NULL CHECK (needs IN ('dogs', 'observations', 'breeding', 'placing', 'money', 'managing')),
    PRIMARY KEY (word, field)
);
GRANT SELECT ON log_words, log_fields TO denwright_service;
INSERT INTO log_words (word, needs, wide) VALUES
    ('absence', 'dogs', true),
    ('access_token', 'managing', false),
    ('birth', 'dogs', false),
    ('booklet_link', 'placing', false),
    ('booklet_text', 'dogs', true),
    ('buyer', 'dogs', false),
    ('calendar_link', 'managing', false),
    ('cost', 'money', false),
    ('dam_check', 'dogs', false),
    ('dog', 'dogs', false),
    ('feed', 'dogs', false),
    ('follow_up', 'placing', false),
    ('genotype_test', 'dogs', false),
    ('health_event', 'dogs', false),
    ('health_plan', 'dogs', true),
    ('health_plan_version', 'dogs', true),
    ('heat', 'dogs', false),
    ('heat_reading', 'dogs', false),
    ('invitation', 'managing', false),
    ('kennel', 'dogs', true),
    ('litter', 'dogs', false),
    ('litter_plan', 'dogs', false),
    ('mating', 'dogs', false),
    ('member', 'dogs', true),
    ('own_task', 'dogs', true),
    ('paper', 'dogs', false),
    ('payment', 'money', false),
    ('place', 'dogs', true),
    ('placement', 'dogs', false),
    ('planner_settings', 'dogs', true),
    ('pregnancy_check', 'dogs', false),
    ('preparation_template', 'dogs', true),
    ('readiness_override', 'dogs', false),
    ('readiness_rules', 'dogs', true),
    ('rule_override', 'dogs', true),
    ('share', 'money', false),
    ('supply', 'dogs', true),
    ('task_mark', 'dogs', true),
    ('temperature', 'dogs', false),
    ('webhook', 'managing', false),
    ('weight', 'dogs', false),
    ('whelping_line', 'dogs', false);
INSERT INTO log_fields (word, field, needs) VALUES
    ('buyer', 'email', 'placing'),
    ('buyer', 'phone', 'placing'),
    ('buyer', 'address', 'placing'),
    ('buyer', 'household', 'placing'),
    ('buyer', 'screening', 'placing'),
    ('buyer', 'note', 'placing'),
    ('placement', 'price_minor', 'money'),
    ('placement', 'currency', 'money'),
    ('placement', 'balance_due_on', 'money'),
    ('placement', 'terms', 'placing'),
    ('placement', 'note', 'placing');

-- Whose an entry is: the dogs that the row is about after the write, and before it where they differ.
ALTER TABLE changes
    ADD COLUMN was_dog_ids uuid[],
    ADD COLUMN wide boolean NOT NULL DEFAULT false;
UPDATE changes SET wide = true
WHERE what IN (SELECT word FROM log_words WHERE log_words.wide) AND row_id IS NOT NULL
  AND coalesce(after, before)->>'dog_id' IS NULL AND coalesce(after, before)->>'litter_id' IS NULL;
UPDATE changes SET dog_ids = dogs_of_row(kennel_id, what, coalesce(after, before))
WHERE dog_ids = '{}' AND row_id IS NOT NULL
  AND what IN ('heat_reading', 'pregnancy_check', 'payment', 'follow_up', 'litter_plan', 'cost', 'own_task', 'task_mark');
DROP FUNCTION dogs_of_row(text, jsonb);

-- An entry is told when its word is, and when it is about a dog that the person sees, or about none.
CREATE POLICY of_kennel ON changes USING (
    kennel_id = current_kennel()
    AND ((SELECT has_all_rights()) OR what IN (SELECT word FROM log_words WHERE needs = ANY ((SELECT rights())::text[])))
    AND ((SELECT sees_all()) OR wide
         OR dog_ids && ARRAY(SELECT my_dogs()) OR was_dog_ids && ARRAY(SELECT my_dogs())
         OR (what = 'buyer' AND row_id IN (SELECT id FROM buyers)))
    AND (what <> 'task_mark' OR coalesce(after, before)->>'key' NOT LIKE 'placement:%' OR (SELECT has_right('placing')))
);
