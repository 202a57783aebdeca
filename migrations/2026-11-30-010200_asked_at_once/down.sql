DROP FUNCTION enter_by_session(uuid, uuid, date), enter_by_token(uuid, bytea, date), dogs_weighed_since(bigint);
