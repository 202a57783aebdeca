-- Pictures and papers. Their bytes lie outside of the database, under the hash of what they are; a row says what
-- they are and what they hang on.

-- What is on its way: nobody's but whose it is, and in no log. What has come lies in parts beside the files.
CREATE TABLE uploads (
    kennel_id       uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id              uuid NOT NULL,
    person_id       uuid NOT NULL DEFAULT current_person() REFERENCES people ON DELETE CASCADE,
    announced_bytes bigint NOT NULL CHECK (announced_bytes > 0),
    announced_type  text CHECK (length(announced_type) <= 200),
    received_bytes  bigint NOT NULL DEFAULT 0 CHECK (received_bytes BETWEEN 0 AND announced_bytes),
    parts           text[] NOT NULL DEFAULT '{}',
    -- What it was found to be, once it was whole.
    sha256          text CHECK (sha256 ~ '^[0-9a-f]{64}$'),
    media_type      text CHECK (media_type IN ('image/jpeg', 'image/png', 'application/pdf')),
    size_bytes      bigint CHECK (size_bytes > 0),
    width_px        integer,
    height_px       integer,
    taken_on        date,
    expires_at      timestamptz NOT NULL DEFAULT now() + interval '1 day',
    created_at      timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id)
);
CREATE INDEX uploads_of_person ON uploads (kennel_id, person_id);
CREATE INDEX uploads_by_end ON uploads (expires_at);
ALTER TABLE uploads ENABLE ROW LEVEL SECURITY;
CREATE POLICY of_kennel ON uploads USING (kennel_id = current_kennel() AND person_id = current_person());
GRANT SELECT, INSERT, UPDATE, DELETE ON uploads TO denwright_service;

CREATE TABLE attachments (
    kennel_id      uuid NOT NULL,
    id             uuid NOT NULL,
    upload_id      uuid NOT NULL,
    dog_id         uuid,
    litter_id      uuid,
    placement_id   uuid,
    kind           text NOT NULL CHECK (kind IN ('photo', 'contract', 'test_result', 'registration', 'other')),
    taken_on       date,
    caption        text CHECK (length(caption) BETWEEN 1 AND 500),
    shown_to_buyer boolean NOT NULL DEFAULT false,
    sha256         text NOT NULL CHECK (sha256 ~ '^[0-9a-f]{64}$'),
    media_type     text NOT NULL CHECK (media_type IN ('image/jpeg', 'image/png', 'application/pdf')),
    size_bytes     bigint NOT NULL CHECK (size_bytes > 0),
    width_px       integer CHECK (width_px > 0),
    height_px      integer CHECK (height_px > 0),
    version        bigint NOT NULL DEFAULT 1,
    created_at     timestamptz NOT NULL DEFAULT now(),
    updated_at     timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT attachments_upload_taken UNIQUE (kennel_id, upload_id),
    CONSTRAINT attachments_of_one CHECK (num_nonnulls(dog_id, litter_id, placement_id) = 1),
    CONSTRAINT attachments_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs,
    CONSTRAINT attachments_litter FOREIGN KEY (kennel_id, litter_id) REFERENCES litters,
    CONSTRAINT attachments_placement FOREIGN KEY (kennel_id, placement_id) REFERENCES placements
);
CREATE INDEX attachments_of_dog ON attachments (kennel_id, dog_id, taken_on) WHERE dog_id IS NOT NULL;
CREATE INDEX attachments_of_litter ON attachments (kennel_id, litter_id, taken_on) WHERE litter_id IS NOT NULL;
CREATE INDEX attachments_of_placement ON attachments (kennel_id, placement_id) WHERE placement_id IS NOT NULL;
CREATE INDEX attachments_by_file ON attachments (kennel_id, sha256);
-- What hangs on a placement is a contract, and read by those who place pups.
SELECT kennel_table('attachments', 'attachment',
    '((SELECT sees_all()) OR dog_id IN (SELECT my_dogs()) OR litter_id IN (SELECT id FROM litters)
      OR placement_id IN (SELECT id FROM placements))
     AND (placement_id IS NULL OR (SELECT has_right(''placing'')))');
INSERT INTO log_words (word, needs, wide) VALUES ('attachment', 'dogs', false);
SELECT guard_references('attachments');

\ir ../functions/log.sql

ALTER POLICY of_kennel ON changes USING (
    kennel_id = current_kennel()
    AND ((SELECT has_all_rights()) OR what IN (SELECT word FROM log_words WHERE needs = ANY ((SELECT rights())::text[])))
    AND ((SELECT sees_all()) OR wide
         OR dog_ids && ARRAY(SELECT my_dogs()) OR was_dog_ids && ARRAY(SELECT my_dogs())
         OR (what = 'buyer' AND row_id IN (SELECT id FROM buyers)))
    AND (what <> 'task_mark' OR coalesce(after, before)->>'key' NOT LIKE 'placement:%' OR (SELECT has_right('placing')))
    AND (what <> 'attachment' OR coalesce(after, before)->>'placement_id' IS NULL OR (SELECT has_right('placing')))
);

\ir ../functions/files.sql

CREATE INDEX changes_of_files ON changes (kennel_id, (before->>'sha256')) WHERE what = 'attachment' AND action = 'deleted';

SELECT finish_walls();
