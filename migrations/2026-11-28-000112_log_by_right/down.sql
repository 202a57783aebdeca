DROP FUNCTION change_told(changes);
DROP POLICY of_kennel ON changes;
DROP FUNCTION told_before(changes, text[], boolean);
DROP FUNCTION told_after(changes, text[], boolean);
DROP FUNCTION told(text, jsonb, text[]);
DROP FUNCTION names_nobody(jsonb);
DROP FUNCTION dogs_of_row(uuid, text, jsonb);
ALTER TABLE changes DROP COLUMN was_dog_ids, DROP COLUMN wide;
DROP TABLE log_fields, log_words;

ALTER POLICY of_kennel ON payments USING (kennel_id = current_kennel() AND (SELECT sees_money())
    AND ((SELECT sees_all()) OR placement_id IN (SELECT id FROM placements)));
ALTER POLICY of_kennel ON costs USING (kennel_id = current_kennel() AND (SELECT sees_money())
    AND ((SELECT sees_all()) OR litter_id IN (SELECT id FROM litters)));
ALTER POLICY of_kennel ON shares USING (kennel_id = current_kennel()
    AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs())));
ALTER POLICY of_kennel ON follow_ups USING (kennel_id = current_kennel()
    AND ((SELECT sees_all()) OR placement_id IN (SELECT id FROM placements)));
ALTER POLICY of_kennel ON booklet_links USING (kennel_id = current_kennel() AND (SELECT sees_money())
    AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs())));
ALTER POLICY of_kennel ON invitations USING (kennel_id = current_kennel() AND (SELECT sees_all()));
ALTER POLICY of_kennel ON webhooks USING (kennel_id = current_kennel() AND (SELECT sees_all()));
ALTER POLICY of_kennel ON webhook_deliveries USING (kennel_id = current_kennel() AND (SELECT sees_all()));
ALTER POLICY of_kennel ON access_tokens USING (kennel_id = current_kennel()
    AND (person_id = current_person() OR (SELECT sees_all())));
ALTER POLICY of_kennel ON calendar_links USING (kennel_id = current_kennel()
    AND (person_id = current_person() OR (SELECT sees_all())));
ALTER POLICY of_kennel ON task_marks USING (kennel_id = current_kennel()
    AND ((SELECT sees_all()) OR ((litter_id IS NULL OR litter_id IN (SELECT id FROM litters))
                                 AND (dog_id IS NULL OR dog_id IN (SELECT my_dogs())))));
CREATE POLICY of_kennel ON changes USING (
    kennel_id = current_kennel()
    AND ((SELECT sees_all()) OR dog_ids && ARRAY(SELECT my_dogs()))
    AND ((SELECT sees_money()) OR what NOT IN ('buyer', 'payment', 'placement', 'invitation', 'access_token', 'webhook'))
);

DROP FUNCTION has_all_rights();
DROP FUNCTION rights();
DROP FUNCTION all_rights();
