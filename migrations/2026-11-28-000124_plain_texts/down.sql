-- What stood there before is not known any more, and nothing needs it.
SELECT 1;
