DROP TABLE breed_tests;
DELETE FROM log_words WHERE word = 'breed_test';
