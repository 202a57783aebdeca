DROP TABLE screening_results;
DELETE FROM log_words WHERE word = 'screening_result';
