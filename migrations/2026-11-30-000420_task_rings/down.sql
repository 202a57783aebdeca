DROP POLICY of_own_pup ON births;
DROP FUNCTION enter_kennel_for_task_rings(uuid, uuid);
DELETE FROM rings WHERE audience LIKE 'tasks:%';
DELETE FROM alarm_states WHERE audience LIKE 'tasks:%';
ALTER TABLE ring_watches DROP COLUMN routine;
