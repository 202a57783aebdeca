DROP FUNCTION end_letters(uuid, uuid);
DROP FUNCTION finish_letter(uuid, timestamptz, timestamptz, integer, jsonb);
DROP FUNCTION enter_kennel_for_letter(uuid);
DROP FUNCTION claim_letters(timestamptz, integer, integer);
DROP TABLE letters;
