ALTER TABLE births ADD COLUMN weight_g integer CHECK (weight_g BETWEEN 20 AND 2000);

ALTER TABLE births DISABLE TRIGGER USER;
UPDATE births b SET weight_g = w.weight_g
FROM weights w
WHERE w.kennel_id = b.kennel_id AND w.dog_id = b.dog_id AND w.at_birth AND w.weight_g BETWEEN 20 AND 2000;
ALTER TABLE births ENABLE TRIGGER USER;

DROP INDEX weights_at_birth;
ALTER TABLE weights DROP COLUMN at_birth;
