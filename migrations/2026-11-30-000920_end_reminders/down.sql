DROP FUNCTION remind_owners(uuid, timestamptz, jsonb, text), kennels_to_remind(), time_to_remind();
ALTER TABLE kennel_ends DROP COLUMN reminded_at;
