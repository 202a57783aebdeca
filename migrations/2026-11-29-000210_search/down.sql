DROP INDEX dogs_by_name;
ALTER TABLE dogs DROP COLUMN search_words;
DROP FUNCTION dog_words(text, text, text, jsonb);
DROP FUNCTION folded(text);
DROP FUNCTION IF EXISTS all_dog_words(text, text, text, jsonb), folded_letters(text);
