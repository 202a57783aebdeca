CREATE OR REPLACE FUNCTION claim_webhook_deliveries(most integer, lease_seconds integer)
RETURNS TABLE (kennel_id uuid, id uuid, url text, secret bytea, attempts integer, event text, at timestamptz, content jsonb)
LANGUAGE sql SECURITY DEFINER SET search_path = public, pg_temp AS $$
    WITH due AS (
        SELECT d.kennel_id, d.id FROM webhook_deliveries d
        WHERE d.status = 'waiting' AND (d.next_at <= now() OR d.next_at > now() + interval '2 days')
        ORDER BY d.next_at LIMIT most FOR UPDATE SKIP LOCKED
    ), claimed AS (
        UPDATE webhook_deliveries d
        SET attempts = d.attempts + 1, next_at = now() + interval '1 second' * lease_seconds
        FROM due WHERE d.kennel_id = due.kennel_id AND d.id = due.id
        RETURNING d.kennel_id, d.id, d.webhook_id, d.sequence, d.event, d.attempts
    )
    SELECT c.kennel_id, c.id, w.url, w.secret, c.attempts, c.event, h.at, to_jsonb(h) - 'dog_ids'
    FROM claimed c
    JOIN webhooks w ON w.kennel_id = c.kennel_id AND w.id = c.webhook_id
    JOIN changes h ON h.kennel_id = c.kennel_id AND h.sequence = c.sequence
$$;
DROP FUNCTION change_told(changes);
DROP POLICY of_kennel ON changes;
DROP FUNCTION told_before(changes, text[], boolean);
DROP FUNCTION told_after(changes, text[], boolean);
DROP FUNCTION told(text, jsonb, text[]);
CREATE FUNCTION dogs_of_row(what text, content jsonb) RETURNS uuid[] LANGUAGE plpgsql IMMUTABLE AS $$
BEGIN
    IF what = 'dog' THEN
        RETURN ARRAY[(content->>'id')::uuid];
    END IF;
    RETURN array_remove(
        ARRAY[(content->>'dog_id')::uuid, (content->>'dam_id')::uuid, (content->>'sire_id')::uuid], NULL);
END $$;
CREATE OR REPLACE FUNCTION log_created() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; count bigint; base bigint;
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM new_rows GROUP BY kennel_id LOOP
        IF current_setting('denwright.import', true) = 'yes' THEN
            base := next_changes(kennel, 1);
            INSERT INTO changes (kennel_id, sequence, person_id, what, action, after)
            VALUES (kennel, base + 1, current_person(), TG_ARGV[0], 'imported', jsonb_build_object('rows', count));
        ELSE
            base := next_changes(kennel, count);
            INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, after, dog_ids)
            SELECT kennel, base + row_number() OVER (ORDER BY id), current_person(), TG_ARGV[0], id, 'created',
                   content, dogs_of_row(TG_ARGV[0], content)
            FROM (SELECT id, logged(to_jsonb(n)) AS content FROM new_rows n WHERE kennel_id = kennel) AS logged;
        END IF;
    END LOOP;
    RETURN NULL;
END $$;
CREATE OR REPLACE FUNCTION log_changed() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; count bigint; base bigint;
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM new_rows GROUP BY kennel_id LOOP
        base := next_changes(kennel, count);
        INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, after, dog_ids)
        SELECT kennel, base + row_number() OVER (ORDER BY n.id), current_person(), TG_ARGV[0], n.id, 'changed',
               logged(to_jsonb(o)), logged(to_jsonb(n)), dogs_of_row(TG_ARGV[0], to_jsonb(n))
        FROM new_rows n JOIN old_rows o USING (kennel_id, id) WHERE kennel_id = kennel;
    END LOOP;
    RETURN NULL;
END $$;
CREATE OR REPLACE FUNCTION log_deleted() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE kennel uuid; count bigint; base bigint;
BEGIN
    FOR kennel, count IN SELECT kennel_id, count(*) FROM old_rows GROUP BY kennel_id LOOP
        base := next_changes(kennel, count);
        INSERT INTO changes (kennel_id, sequence, person_id, what, row_id, action, before, dog_ids)
        SELECT kennel, base + row_number() OVER (ORDER BY id), current_person(), TG_ARGV[0], id, 'deleted',
               content, dogs_of_row(TG_ARGV[0], content)
        FROM (SELECT id, logged(to_jsonb(o)) AS content FROM old_rows o WHERE kennel_id = kennel) AS logged;
    END LOOP;
    RETURN NULL;
END $$;
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
