ALTER TABLE rings DROP COLUMN invitation_id;
