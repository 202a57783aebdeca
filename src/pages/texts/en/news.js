// What a new owner tells: English.
export default {
  "news.full_grown": "full-grown",
  "news.seen_on": "seen on {day}",
  "news.colour": "Coat colour",
  "news.markings": "Marks",
  "news.temperament": "Temperament",
  "told.illness": "illness",
  "told.test": "test",
  "told.examination": "examination",
  "told.treatment": "treatment",
  "told.vaccination": "vaccination",
  "told.other": "other",
  "report_status.waiting": "waits for the kennel",
  "report_status.accepted": "accepted",
  "report_status.refused": "refused",
};
