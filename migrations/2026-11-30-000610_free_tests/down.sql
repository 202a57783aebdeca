DROP TABLE genomic_inbreedings;
DROP TABLE free_tests;
DELETE FROM log_words WHERE word IN ('free_test', 'genomic_inbreeding');
