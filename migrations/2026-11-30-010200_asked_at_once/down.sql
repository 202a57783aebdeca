DROP FUNCTION IF EXISTS enter_by_session(uuid, uuid, date), enter_by_token(uuid, bytea, date);
DROP FUNCTION enter_by_session(uuid, uuid), enter_by_token(uuid, bytea), dogs_weighed_since(bigint);
