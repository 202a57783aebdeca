UPDATE rule_overrides SET key = 'dating.overdue_gestation_days' WHERE key = 'dating.call_ovulation_days';
