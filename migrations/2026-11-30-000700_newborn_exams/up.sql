-- What was found where a newborn was looked over from head to tail.
ALTER TABLE pup_checks ADD COLUMN exam jsonb CHECK (jsonb_typeof(exam) = 'object');
