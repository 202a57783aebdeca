-- The daily letter: one mail a member a day, at the hour that they chose, when something is due.

-- When each is written next, by the service's clock.
CREATE TABLE letters (
    kennel_id     uuid NOT NULL,
    membership_id uuid NOT NULL DEFAULT current_membership(),
    person_id     uuid NOT NULL DEFAULT current_person(),
    next_at       timestamptz NOT NULL,
    lease         uuid UNIQUE,
    leased_until  timestamptz,
    PRIMARY KEY (kennel_id, membership_id),
    CONSTRAINT letters_membership FOREIGN KEY (kennel_id, membership_id) REFERENCES memberships ON DELETE CASCADE
);
CREATE INDEX letters_next ON letters (next_at);
ALTER TABLE letters ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON letters USING (kennel_id = current_kennel() AND person_id = current_person());
GRANT SELECT, INSERT, UPDATE, DELETE ON letters TO denwright_service;

\ir ../functions/letters.sql

