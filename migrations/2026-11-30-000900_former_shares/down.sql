DROP FUNCTION pups_of_statements(date, date), money_of_statements(date, date), shares_of_statements(), dogs_of_statements();
DROP TABLE former_shares;
DELETE FROM log_words WHERE word = 'former_share';
-- Of the shares held now alone.
CREATE OR REPLACE FUNCTION check_shares() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE share record; n numeric := 0; d numeric := 1; common numeric;
BEGIN
    PERFORM FROM dogs WHERE kennel_id = NEW.kennel_id AND id = NEW.dog_id FOR NO KEY UPDATE;
    FOR share IN SELECT numerator, denominator FROM shares WHERE kennel_id = NEW.kennel_id AND dog_id = NEW.dog_id LOOP
        n := n * share.denominator + share.numerator * d;
        d := d * share.denominator;
        common := gcd(n, d);
        n := div(n, common);
        d := div(d, common);
    END LOOP;
    IF n > d THEN
        RAISE EXCEPTION 'shares sum to %/%', n, d USING ERRCODE = 'check_violation', CONSTRAINT = 'shares_sum_at_most_one';
    END IF;
    RETURN NULL;
END $$;
ALTER TABLE shares DROP COLUMN held_from;
