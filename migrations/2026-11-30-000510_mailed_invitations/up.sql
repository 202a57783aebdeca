-- Invitations go by mail, from the outbox of rings and letters. One that is withdrawn takes its mail along.
ALTER TABLE rings
    ADD COLUMN invitation_id uuid,
    ADD CONSTRAINT rings_invitation FOREIGN KEY (kennel_id, invitation_id) REFERENCES invitations ON DELETE CASCADE;
CREATE INDEX rings_of_invitation ON rings (kennel_id, invitation_id) WHERE invitation_id IS NOT NULL;

DROP FUNCTION claim_rings(timestamptz, integer, integer, text[], integer);
\ir ../functions/rings.sql

SELECT finish_walls();
