-- Rows of a database of the first schema (migrations 000001 to 000005), as a service of that time left
-- them; all people, dogs and figures are invented. Ids: the first two hex digits tell the kind.
SET TIME ZONE 'UTC';

INSERT INTO people (id, name, email, password_hash) VALUES
    -- a pass phrase of the first edition
    ('a0000000-0000-7000-8000-000000000001', 'Hedda Falk', 'hedda@example.org',
     '$argon2id$v=19$m=19456,t=2,p=1$YlCyYEANlVLbmOSsN172gg$GtswG/cUhyivqq42SE9onkWh5jqXWexhfbA+/D/OcZE'),
    ('a0000000-0000-7000-8000-000000000002', 'Jorun Lind', 'jorun@example.org', 'none');
INSERT INTO signing_keys (id, secret) VALUES
    ('b0000000-0000-7000-8000-000000000001', decode(repeat('5a', 32), 'hex'));
INSERT INTO refresh_tokens (id, family_id, person_id, token_hash, expires_at) VALUES
    ('b1000000-0000-7000-8000-000000000001', 'b2000000-0000-7000-8000-000000000001',
     -- SHA-256 of `a refresh token of the first edition`
     'a0000000-0000-7000-8000-000000000001', sha256('a refresh token of the first edition'), now() + interval '20 days');

SELECT set_config('denwright.person', 'a0000000-0000-7000-8000-000000000001', false);
INSERT INTO kennels (id, name, time_zone, jurisdiction, currency) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'Aldermere Kennel', 'Europe/Berlin', 'DE', 'EUR'),
    ('c0000000-0000-7000-8000-000000000002', 'Other People''s Kennel', 'Europe/Oslo', NULL, 'NOK');
INSERT INTO memberships (kennel_id, id, person_id, role) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'c1000000-0000-7000-8000-000000000001', 'a0000000-0000-7000-8000-000000000001', 'owner'),
    ('c0000000-0000-7000-8000-000000000001', 'c1000000-0000-7000-8000-000000000002', 'a0000000-0000-7000-8000-000000000002', 'co_owner'),
    ('c0000000-0000-7000-8000-000000000002', 'c1000000-0000-7000-8000-000000000003', 'a0000000-0000-7000-8000-000000000002', 'owner');
INSERT INTO invitations (kennel_id, id, email, role, token_hash, expires_at) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'c2000000-0000-7000-8000-000000000001', 'new@example.org', 'helper', sha256('an invitation'), now() + interval '3 days');
INSERT INTO access_tokens (kennel_id, id, person_id, name, token_hash, read_only) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'c3000000-0000-7000-8000-000000000001', 'a0000000-0000-7000-8000-000000000001', 'wall screen',
     sha256('dwt_an-access-token-of-the-first-edition'), true);
INSERT INTO rule_overrides (kennel_id, id, key, value, source) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'c4000000-0000-7000-8000-000000000001', 'growth.early_growth_day', 2, 'our veterinarian');

INSERT INTO dogs (kennel_id, id, name, sex, breed, colour, born_on, sire_id, dam_id, chip_number, registrations, adult_weight_g, residence, for_breeding, imported_id) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000001', 'Aldermere Old Birch', 'male', 'Labrador Retriever', 'black', '2015', NULL, NULL, NULL, '[]', 32000, 'elsewhere', true, '101'),
    ('c0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000002', 'Aldermere Juno', 'female', 'Labrador Retriever', 'fox', '2019-04', 'd0000000-0000-7000-8000-000000000001', NULL, '276098100000001', '[{"registry": "stud book", "number": "A 17"}]', 28000, 'here', true, NULL),
    ('c0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000003', 'Castor', 'male', 'Labrador Retriever', 'yellow', '2018-09-02', 'd0000000-0000-7000-8000-000000000001', NULL, NULL, '[]', 33000, 'elsewhere', true, NULL),
    ('c0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000011', 'Fern', 'female', 'Labrador Retriever', 'fox', '2024-05-04', 'd0000000-0000-7000-8000-000000000003', 'd0000000-0000-7000-8000-000000000002', NULL, '[]', NULL, 'elsewhere', false, NULL),
    ('c0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000012', NULL, 'male', 'Labrador Retriever', 'yellow', '2024-05-04', 'd0000000-0000-7000-8000-000000000003', 'd0000000-0000-7000-8000-000000000002', NULL, '[]', NULL, 'here', false, NULL),
    ('c0000000-0000-7000-8000-000000000002', 'd0000000-0000-7000-8000-000000000021', 'Not Hers', 'female', NULL, NULL, NULL, NULL, NULL, NULL, '[]', NULL, 'here', false, NULL);
INSERT INTO shares (kennel_id, id, dog_id, person_id, numerator, denominator) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'd1000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000002', 'a0000000-0000-7000-8000-000000000002', 1, 3);
UPDATE dogs SET call_name = 'Juno' WHERE id = 'd0000000-0000-7000-8000-000000000002';

INSERT INTO heats (kennel_id, id, dog_id, began_on, ended_on) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'e0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000002', '2024-02-20', '2024-03-12');
INSERT INTO heat_readings (kennel_id, id, heat_id, kind, taken_at, value, unit) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'e1000000-0000-7000-8000-000000000001', 'e0000000-0000-7000-8000-000000000001', 'progesterone', '2024-03-01T09:00:00Z', 5.4, 'ng_per_ml');
INSERT INTO matings (kennel_id, id, dam_id, sire_id, heat_id, status, method, ties) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'e2000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000002', 'd0000000-0000-7000-8000-000000000003', 'e0000000-0000-7000-8000-000000000001', 'done', 'natural', '[{"at": "2024-03-03T10:00:00Z"}]');
INSERT INTO pregnancy_checks (kennel_id, id, mating_id, checked_at, method, result, count_at_least, count_at_most, measures) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'e3000000-0000-7000-8000-000000000001', 'e2000000-0000-7000-8000-000000000001', '2024-03-31T08:00:00Z', 'ultrasound', 'pregnant', 2, 5, '[{"kind": "inner_chorionic_cavity", "value_mm": 21.5}]');
INSERT INTO litters (kennel_id, id, dam_id, sire_id, mating_id, name, whelped_on, weaned_on) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'f0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000002', 'd0000000-0000-7000-8000-000000000003', 'e2000000-0000-7000-8000-000000000001', 'F', '2024-05-04', '2024-06-20');
INSERT INTO births (kennel_id, id, litter_id, dog_id, ordinal, born_at, presentation, outcome, placenta, weight_g, collar) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'f1000000-0000-7000-8000-000000000001', 'f0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000011', 1, '2024-05-04T01:10:00Z', 'head_first', 'alive', 'passed', 410, 'green'),
    ('c0000000-0000-7000-8000-000000000001', 'f1000000-0000-7000-8000-000000000002', 'f0000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000012', 2, '2024-05-04T01:50:00Z', 'tail_first', 'alive', 'not_seen', 432, 'red');
INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g)
    SELECT 'c0000000-0000-7000-8000-000000000001', ('f2000000-0000-7000-8000-0000000000' || to_char(day, 'FM00'))::uuid,
           'd0000000-0000-7000-8000-000000000011', timestamptz '2024-05-04T01:10:00Z' + interval '1 day' * day, (410 * 1.06 ^ day)::integer
    FROM generate_series(0, 20) AS day;
INSERT INTO temperatures (kennel_id, id, dog_id, measured_at, temperature_c) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'f3000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000002', '2024-05-03T06:00:00Z', 37.1);
INSERT INTO health_events (kennel_id, id, dog_id, kind, given_at, product, batch) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'f4000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000011', 'microchip', '2024-06-15T12:00:00Z', NULL, NULL);
INSERT INTO buyers (kennel_id, id, name, email, wishes, joined_on) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'f5000000-0000-7000-8000-000000000001', 'Sunniva Berg', 'sunniva@example.org', '{"sex": "female"}', '2024-01-10');
INSERT INTO placements (kennel_id, id, dog_id, buyer_id, kind, stage, handed_over_on, price_minor, currency) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'f6000000-0000-7000-8000-000000000001', 'd0000000-0000-7000-8000-000000000011', 'f5000000-0000-7000-8000-000000000001', 'sale', 'handed_over', '2024-07-01', 180000, 'EUR');
INSERT INTO payments (kennel_id, id, placement_id, kind, amount_minor, currency, paid_on) VALUES
    ('c0000000-0000-7000-8000-000000000001', 'f7000000-0000-7000-8000-000000000001', 'f6000000-0000-7000-8000-000000000001', 'deposit', 30000, 'EUR', '2024-05-20'),
    ('c0000000-0000-7000-8000-000000000001', 'f7000000-0000-7000-8000-000000000002', 'f6000000-0000-7000-8000-000000000001', 'payment', 150000, 'EUR', '2024-07-01');
INSERT INTO idempotency_keys (person_id, key, fingerprint, status, headers, body) VALUES
    ('a0000000-0000-7000-8000-000000000001', 'key-of-then', '\x00', 201, '{}', '{"id": "d0000000-0000-7000-8000-000000000012"}');
DELETE FROM weights WHERE id = 'f2000000-0000-7000-8000-000000000020';
