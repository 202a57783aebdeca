// What a new owner tells: Deutsch.
export default {
  "news.full_grown": "ausgewachsen",
  "news.seen_on": "gesehen am {day}",
  "news.colour": "Fellfarbe",
  "news.markings": "Abzeichen",
  "news.temperament": "Wesen",
  "told.illness": "Krankheit",
  "told.test": "Test",
  "told.examination": "Untersuchung",
  "told.treatment": "Behandlung",
  "told.vaccination": "Impfung",
  "told.other": "Sonstiges",
  "report_status.waiting": "wartet auf den Zwinger",
  "report_status.accepted": "angenommen",
  "report_status.refused": "abgelehnt",
};
