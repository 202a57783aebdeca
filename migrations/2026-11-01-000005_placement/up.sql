-- Who waits for a pup, who gets which, and the money.

CREATE TABLE buyers (
    kennel_id  uuid NOT NULL REFERENCES kennels ON DELETE CASCADE,
    id         uuid NOT NULL,
    name       text NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    email      text CHECK (length(email) BETWEEN 3 AND 254),
    phone      text CHECK (length(phone) BETWEEN 1 AND 50),
    address    text CHECK (length(address) BETWEEN 1 AND 1000),
    wishes     jsonb NOT NULL DEFAULT '{}' CHECK (jsonb_typeof(wishes) = 'object'),
    joined_on  date NOT NULL,
    note       text CHECK (length(note) <= 10000),
    created_by uuid DEFAULT current_person(),
    version    bigint NOT NULL DEFAULT 1,
    created_at timestamptz NOT NULL DEFAULT now(),
    updated_at timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id)
);

CREATE TABLE placements (
    kennel_id      uuid NOT NULL,
    id             uuid NOT NULL,
    dog_id         uuid NOT NULL,
    buyer_id       uuid,
    kind           text NOT NULL CHECK (kind IN ('sale', 'kept', 'family', 'co_owner', 'return')),
    stage          text NOT NULL CHECK (stage IN ('offered', 'reserved', 'handed_over', 'withdrawn', 'returned')),
    reserved_until date,
    handed_over_on date,
    price_minor    bigint CHECK (price_minor BETWEEN 0 AND 100000000000),
    currency       text CHECK (currency ~ '^[A-Z]{3}$'),
    terms          text CHECK (length(terms) <= 10000),
    note           text CHECK (length(note) <= 10000),
    version        bigint NOT NULL DEFAULT 1,
    created_at     timestamptz NOT NULL DEFAULT now(),
    updated_at     timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT placements_dog FOREIGN KEY (kennel_id, dog_id) REFERENCES dogs,
    CONSTRAINT placements_buyer FOREIGN KEY (kennel_id, buyer_id) REFERENCES buyers,
    CONSTRAINT placements_price CHECK ((price_minor IS NULL) = (currency IS NULL)),
    CONSTRAINT placements_handed_over CHECK (stage NOT IN ('handed_over', 'returned') OR handed_over_on IS NOT NULL)
);
-- A pup is promised once, whatever the race.
CREATE UNIQUE INDEX placements_dog_taken ON placements (kennel_id, dog_id) WHERE stage IN ('reserved', 'handed_over');
CREATE INDEX placements_of_dog ON placements (kennel_id, dog_id);
CREATE INDEX placements_of_buyer ON placements (kennel_id, buyer_id);

CREATE TABLE payments (
    kennel_id    uuid NOT NULL,
    id           uuid NOT NULL,
    placement_id uuid NOT NULL,
    kind         text NOT NULL CHECK (kind IN ('deposit', 'payment', 'refund')),
    amount_minor bigint NOT NULL CHECK (amount_minor BETWEEN 1 AND 100000000000),
    currency     text NOT NULL CHECK (currency ~ '^[A-Z]{3}$'),
    paid_on      date NOT NULL,
    note         text CHECK (length(note) <= 10000),
    version      bigint NOT NULL DEFAULT 1,
    created_at   timestamptz NOT NULL DEFAULT now(),
    updated_at   timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (kennel_id, id),
    CONSTRAINT payments_placement FOREIGN KEY (kennel_id, placement_id) REFERENCES placements
);
CREATE INDEX payments_of_placement ON payments (kennel_id, placement_id);

SELECT kennel_table('placements', 'placement', 'sees_all() OR dog_id IN (SELECT my_dogs())');
SELECT kennel_table('buyers', 'buyer',
    'sees_all() OR created_by = current_person() OR id IN (SELECT buyer_id FROM placements WHERE buyer_id IS NOT NULL)');
SELECT kennel_table('payments', 'payment', 'sees_money() AND (sees_all() OR placement_id IN (SELECT id FROM placements))');
