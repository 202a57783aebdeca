DROP TABLE genotype_tests;
