ALTER TABLE access_tokens ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE calendar_links ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE booklet_links ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE webhooks ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE invitations ALTER COLUMN membership_id DROP DEFAULT;
ALTER TABLE webhooks ALTER COLUMN secret SET DEFAULT
    decode(replace(gen_random_uuid()::text || gen_random_uuid()::text, '-', ''), 'hex');

DROP FUNCTION enter_kennel(uuid, uuid, date), enter_kennel_by_token(uuid, bytea, date),
    enter_kennel_by_calendar_link(uuid, bytea, date), enter_kennel_by_booklet_link(uuid, bytea, date),
    enter_new_kennel(uuid, uuid, date), stand_in(uuid, uuid, text, date), begin_writing(),
    person_of_session(uuid), session_in_kennel(uuid, uuid), kennels_of_session(uuid),
    access_token_by_hash(bytea), calendar_link_by_hash(bytea), booklet_link_by_hash(bytea),
    sign_scope(uuid, uuid, uuid, text), scope_payload(uuid, uuid, uuid, text), rights_of(text, text[]),
    current_membership(), has_right(text), asks_once(text);

DROP VIEW proven_scope;
DROP FUNCTION scope_signature(text, bytea);
DROP TABLE wall_key;
