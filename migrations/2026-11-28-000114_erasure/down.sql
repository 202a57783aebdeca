DROP FUNCTION forget_buyer(uuid);
DROP FUNCTION traces_pattern(text[]);
DROP FUNCTION without_traces(text, text, text);
