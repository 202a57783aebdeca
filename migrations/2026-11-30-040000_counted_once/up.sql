-- The kennel that a wall names is no second condition in the planner's eyes: a thousand ids are found each by its own.
-- A transaction is entered by one statement.
\ir ../functions/scope.sql
\ir ../functions/tables.sql
