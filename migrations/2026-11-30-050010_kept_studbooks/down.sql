DROP FUNCTION end_keeping(bigint, bigint);
DROP FUNCTION keep_studbook_part(integer, bytea);
DROP FUNCTION begin_keeping(bigint, bigint, integer);
DROP FUNCTION kept_studbook();
DROP FUNCTION all_parents();
DROP TABLE studbook_parts;
DROP TABLE studbooks;
