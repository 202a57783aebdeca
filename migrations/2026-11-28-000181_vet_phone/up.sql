-- Whom to ring in the night stands with the kennel, so that a page can show it beside an alarm.
ALTER TABLE kennels ADD COLUMN vet_phone text;
