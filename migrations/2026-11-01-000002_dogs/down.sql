DROP POLICY of_kennel ON changes;
DROP TABLE shares, dogs;
DROP FUNCTION check_shares(), check_parents(), born_before(text, text), my_dogs();
