DROP TRIGGER take_dogs_along ON kennels;
DROP TRIGGER dogs_parents ON dogs;
DROP TRIGGER parents_stay_deleted ON dogs;
DROP TRIGGER parents_stay_changed ON dogs;
DROP TRIGGER parents_of_changed ON dogs;
DROP TRIGGER parents_of_created ON dogs;
DROP FUNCTION dogs_go_along();
DROP FUNCTION keep_parents();
DROP FUNCTION parents_in_the_end();
DROP FUNCTION hold_parents();
ALTER TABLE dogs ADD CONSTRAINT dogs_kennel_id_fkey FOREIGN KEY (kennel_id) REFERENCES kennels ON DELETE CASCADE;
ALTER TABLE dogs ADD CONSTRAINT dogs_sire FOREIGN KEY (kennel_id, sire_id, sire_sex) REFERENCES dogs (kennel_id, id, sex)
    DEFERRABLE INITIALLY IMMEDIATE;
ALTER TABLE dogs ADD CONSTRAINT dogs_dam FOREIGN KEY (kennel_id, dam_id, dam_sex) REFERENCES dogs (kennel_id, id, sex)
    DEFERRABLE INITIALLY IMMEDIATE;
