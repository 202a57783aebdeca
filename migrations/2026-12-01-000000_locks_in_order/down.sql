-- The functions are those of the step before by name and do the same: nothing is to be taken back.
SELECT 1;
