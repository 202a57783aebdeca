DROP TABLE calendar_links, task_marks, own_tasks, planner_settings, preparation_templates, supplies, absences, places;
ALTER TABLE pregnancy_checks DROP COLUMN due_on;
