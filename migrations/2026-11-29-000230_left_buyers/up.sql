-- Who has left the waiting list waits no more, and is found still: from that day on.
ALTER TABLE buyers ADD COLUMN left_on date;
