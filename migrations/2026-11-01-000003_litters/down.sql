DROP TABLE births, litters, pregnancy_checks, matings, heat_readings, heats;
