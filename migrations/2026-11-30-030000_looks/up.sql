-- A look at a whole kennel reads only what was written since the last one; the log tells of which words that is.
\ir ../functions/log.sql
