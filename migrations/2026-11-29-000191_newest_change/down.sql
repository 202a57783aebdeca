-- Nothing but functions changed.
SELECT 1;
