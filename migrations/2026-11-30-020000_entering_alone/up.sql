-- Who asks a question of one statement is told what it takes, and nothing else; whoever sees all dogs is known by one look
-- at what was signed, and not by two.
DROP FUNCTION IF EXISTS enter_by_session(uuid, uuid, date), enter_by_token(uuid, bytea, date);
\ir ../functions/scope.sql
\ir ../functions/tables.sql
