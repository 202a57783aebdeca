-- The bands that a kennel owns to tell pups apart, in the order in which it takes them; empty: the standard list.
ALTER TABLE kennels ADD COLUMN collars jsonb NOT NULL DEFAULT '[]'
    CONSTRAINT kennels_collars CHECK (jsonb_typeof(collars) = 'array' AND jsonb_array_length(collars) <= 60);
