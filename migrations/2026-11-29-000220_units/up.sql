-- In what a kennel reads figures; they are kept in grams and degrees Celsius all the same.
ALTER TABLE kennels
    ADD COLUMN weight_unit text NOT NULL DEFAULT 'g'
        CONSTRAINT kennels_weight_unit CHECK (weight_unit IN ('g', 'kg', 'lb_oz')),
    ADD COLUMN temperature_unit text NOT NULL DEFAULT 'c'
        CONSTRAINT kennels_temperature_unit CHECK (temperature_unit IN ('c', 'f'));
