-- What a member makes to let others in, or to be told, ends with the membership: it belongs to that
-- membership, and a person who comes back later has another one.

ALTER TABLE access_tokens ADD COLUMN membership_id uuid;
ALTER TABLE calendar_links ADD COLUMN membership_id uuid;
ALTER TABLE booklet_links ADD COLUMN membership_id uuid;
ALTER TABLE webhooks ADD COLUMN membership_id uuid;
-- Invitations that were accepted are kept for reading, after their maker has left as well.
ALTER TABLE invitations ADD COLUMN membership_id uuid;

-- Whose they are: the first two say so, of the others the log of changes knows who made them. What a
-- membership that has ended has left behind ends now. Not logged: nothing that a reader knows changes.
ALTER TABLE access_tokens DISABLE TRIGGER USER;
ALTER TABLE calendar_links DISABLE TRIGGER USER;
ALTER TABLE booklet_links DISABLE TRIGGER USER;
ALTER TABLE webhooks DISABLE TRIGGER USER;
ALTER TABLE invitations DISABLE TRIGGER USER;

UPDATE access_tokens r SET membership_id = m.id FROM memberships m
WHERE m.kennel_id = r.kennel_id AND m.person_id = r.person_id AND m.created_at <= r.created_at;
UPDATE calendar_links r SET membership_id = m.id FROM memberships m
WHERE m.kennel_id = r.kennel_id AND m.person_id = r.person_id AND m.created_at <= r.created_at;
DO $$
DECLARE made record;
BEGIN
    FOR made IN SELECT * FROM (VALUES ('booklet_links', 'booklet_link'), ('webhooks', 'webhook'), ('invitations', 'invitation'))
        AS made (name, what)
    LOOP
        EXECUTE format(
            'UPDATE %I r SET membership_id = m.id FROM memberships m, changes c
             WHERE c.kennel_id = r.kennel_id AND c.row_id = r.id AND c.what = %L AND c.action = ''created''
               AND m.kennel_id = r.kennel_id AND m.person_id = c.person_id AND m.created_at <= r.created_at',
            made.name, made.what);
        -- Of some the log does not know a maker: they belong to the owner who was first.
        EXECUTE format(
            'UPDATE %I r SET membership_id = (
                 SELECT m.id FROM memberships m WHERE m.kennel_id = r.kennel_id AND m.role = ''owner'' ORDER BY m.id LIMIT 1)
             WHERE membership_id IS NULL AND NOT EXISTS (
                 SELECT FROM changes c WHERE c.kennel_id = r.kennel_id AND c.row_id = r.id AND c.action = ''created''
                 AND c.person_id IS NOT NULL)',
            made.name);
    END LOOP;
END $$;
DELETE FROM access_tokens WHERE membership_id IS NULL;
DELETE FROM calendar_links WHERE membership_id IS NULL;
DELETE FROM booklet_links WHERE membership_id IS NULL;
DELETE FROM webhooks WHERE membership_id IS NULL;
DELETE FROM invitations WHERE membership_id IS NULL AND accepted_at IS NULL;

ALTER TABLE access_tokens ENABLE TRIGGER USER;
ALTER TABLE calendar_links ENABLE TRIGGER USER;
ALTER TABLE booklet_links ENABLE TRIGGER USER;
ALTER TABLE webhooks ENABLE TRIGGER USER;
ALTER TABLE invitations ENABLE TRIGGER USER;

ALTER TABLE access_tokens ALTER COLUMN membership_id SET NOT NULL,
    ADD CONSTRAINT access_tokens_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE;
ALTER TABLE calendar_links ALTER COLUMN membership_id SET NOT NULL,
    ADD CONSTRAINT calendar_links_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE;
ALTER TABLE booklet_links ALTER COLUMN membership_id SET NOT NULL,
    ADD CONSTRAINT booklet_links_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE;
ALTER TABLE webhooks ALTER COLUMN membership_id SET NOT NULL,
    ADD CONSTRAINT webhooks_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE;
CREATE INDEX access_tokens_of_membership ON access_tokens (kennel_id, membership_id);
CREATE INDEX calendar_links_of_membership ON calendar_links (kennel_id, membership_id);
CREATE INDEX booklet_links_of_membership ON booklet_links (kennel_id, membership_id);
CREATE INDEX webhooks_of_membership ON webhooks (kennel_id, membership_id);

\ir ../functions/members.sql

CREATE TRIGGER membership_ends AFTER UPDATE OR DELETE ON memberships FOR EACH ROW EXECUTE FUNCTION membership_ends();
