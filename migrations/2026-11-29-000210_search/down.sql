DROP INDEX dogs_by_name;
ALTER TABLE dogs DROP COLUMN search_words;
DROP FUNCTION dog_words(text, text, text, jsonb);
DROP FUNCTION folded(text);
