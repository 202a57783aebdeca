DROP TRIGGER wake_person ON people;
DROP FUNCTION wake_person();
