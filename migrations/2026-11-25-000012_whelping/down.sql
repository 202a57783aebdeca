ALTER TABLE dogs DROP COLUMN died_of;
ALTER TABLE births DROP COLUMN resuscitation_minutes, DROP COLUMN vitality_minutes, DROP COLUMN vitality;
DROP TABLE feeds, dam_checks, whelping_lines;
DROP FUNCTION take_dam();
