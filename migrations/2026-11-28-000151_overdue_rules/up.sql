-- The limit of a pregnancy counted from ovulation has the name of its kind; a kennel's own value stays.
UPDATE rule_overrides SET key = 'dating.call_ovulation_days' WHERE key = 'dating.overdue_gestation_days';
