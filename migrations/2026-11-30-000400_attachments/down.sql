DROP FUNCTION forget_contracts(uuid), clear_uploads(), files_of_no_row(uuid[], text[]), file_memory(), file_bytes();
DROP INDEX changes_of_files;
ALTER POLICY of_kennel ON changes USING (
    kennel_id = current_kennel()
    AND ((SELECT has_all_rights()) OR what IN (SELECT word FROM log_words WHERE needs = ANY ((SELECT rights())::text[])))
    AND ((SELECT sees_all()) OR wide
         OR dog_ids && ARRAY(SELECT my_dogs()) OR was_dog_ids && ARRAY(SELECT my_dogs())
         OR (what = 'buyer' AND row_id IN (SELECT id FROM buyers)))
    AND (what <> 'task_mark' OR coalesce(after, before)->>'key' NOT LIKE 'placement:%' OR (SELECT has_right('placing')))
);
DROP TABLE attachments, uploads;
DELETE FROM log_words WHERE word = 'attachment';
