-- What new owners tell of dogs by the links of their booklets; nothing of it is on record before somebody of the kennel
-- accepts it.

CREATE TABLE buyer_reports (
    kennel_id      uuid NOT NULL,
    id             uuid NOT NULL,
    dog_id         uuid NOT NULL,
    buyer_id       uuid,
    -- Not a reference: a report stays when its link is withdrawn.
    link_id        uuid,
    news           jsonb NOT NULL CHECK (jsonb_typeof(news) = 'object'),
    status         text NOT NULL CHECK (status IN ('waiting', 'accepted', 'refused')),
    refusal_reason text CHECK (length(refusal_reason) BETWEEN 1 AND 1000),
    decided_on     date,
    version        bigint NOT NULL DEFAULT 1,
    created_at     timestamptz NOT NULL DEFAULT now(),
    updated_at     timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT buyer_reports_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs,
    CONSTRAINT buyer_reports_buyer FOREIGN KEY (kennel_id, buyer_id) REFERENCES buyers
);
CREATE INDEX buyer_reports_of_dog ON buyer_reports (kennel_id, dog_id);
CREATE INDEX buyer_reports_of_buyer ON buyer_reports (kennel_id, buyer_id) WHERE buyer_id IS NOT NULL;
SELECT kennel_table('buyer_reports', 'buyer_report',
    '(SELECT has_right(''placing'')) AND ((SELECT sees_all()) OR dog_id IN (SELECT my_dogs()))');
INSERT INTO log_words (word, needs, wide) VALUES ('buyer_report', 'placing', false);
SELECT guard_references('buyer_reports');

\ir ../functions/buyer_reports.sql
\ir ../functions/tables.sql
\ir ../functions/buyers.sql

SELECT finish_walls();
