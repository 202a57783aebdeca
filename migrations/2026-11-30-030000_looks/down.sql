DROP FUNCTION written_since(bigint);
