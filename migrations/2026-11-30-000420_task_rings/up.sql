-- Tasks ring as well; what somebody waits for is looked at before what is only looked at now and then; push
-- services that take long have places of their own; who shares a pup alone sees its alarms.

-- Whether the next look is one that nothing asks for: what the clock alone ends is seen by then.
ALTER TABLE ring_watches ADD COLUMN routine boolean NOT NULL DEFAULT false;

DROP FUNCTION IF EXISTS keep_ring_look(uuid, bigint, text[], timestamptz, jsonb, jsonb, jsonb), claim_rings(timestamptz, integer, integer);
\ir ../functions/rings.sql

-- Who shares a pup and not its dam sees how it was born, and nothing of the litter. They change nothing there.
CREATE POLICY of_own_pup ON births FOR SELECT
    USING (kennel_id = current_kennel() AND NOT sees_all() AND dog_id IN (SELECT my_dogs()));
\ir ../functions/references.sql
