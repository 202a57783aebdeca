-- Erasing a buyer reaches every place that remembers: links, tasks, notes, the log, kept answers.

DROP FUNCTION IF EXISTS forget_buyer(uuid);
\ir ../functions/buyers.sql
