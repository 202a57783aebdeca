DROP FUNCTION add_invited_person(uuid, text, text, text, bytea);
