DROP TRIGGER membership_ends ON memberships;
DROP FUNCTION membership_ends();
ALTER TABLE access_tokens DROP COLUMN membership_id;
ALTER TABLE calendar_links DROP COLUMN membership_id;
ALTER TABLE booklet_links DROP COLUMN membership_id;
ALTER TABLE webhooks DROP COLUMN membership_id;
ALTER TABLE invitations DROP COLUMN membership_id;
