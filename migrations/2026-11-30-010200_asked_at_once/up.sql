-- A question of one statement shows its login, enters and asks at once: what it is entered by stands before it.
\ir ../functions/scope.sql
-- Weights are remembered between looks; the log tells whose have changed.
\ir ../functions/log.sql
