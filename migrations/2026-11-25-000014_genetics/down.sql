DROP TABLE genotype_tests;
DROP TRIGGER check_parents_of_new ON dogs;
DROP TRIGGER check_parents_of_changed ON dogs;
CREATE TRIGGER check_parents_of_new BEFORE INSERT ON dogs
    FOR EACH ROW WHEN (NEW.sire_id IS NOT NULL OR NEW.dam_id IS NOT NULL) EXECUTE FUNCTION check_parents();
CREATE TRIGGER check_parents_of_changed BEFORE UPDATE OF sire_id, dam_id, born_on ON dogs
    FOR EACH ROW EXECUTE FUNCTION check_parents();
DROP FUNCTION pedigree_particulars(uuid[]);
DROP FUNCTION pedigree_since(bigint);
DROP FUNCTION whole_pedigree();
DROP FUNCTION keep_inbreeding(uuid[], double precision[]);
DROP TABLE inbreeding_coefficients;
DROP TABLE inbreeding_heads;
DROP TRIGGER pedigree_changed ON dogs;
DROP TRIGGER pedigree_shrunk ON dogs;
DROP TRIGGER pedigree_grown ON dogs;
DROP FUNCTION pedigree_changed();
DROP FUNCTION pedigree_moved();
DROP TABLE pedigree_heads;
