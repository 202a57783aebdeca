// Days and weeks of the picture. Plain values in, plain values out.
const DAY = 86_400_000;

/** @param {string} day @param {number} by */
export function shifted(day, by) {
  return new Date(Date.parse(`${day}T00:00:00Z`) + by * DAY).toISOString().slice(0, 10);
}

/** Days from one to the other. @param {string} from @param {string} to */
export function between(from, to) {
  return Math.round((Date.parse(`${to}T00:00:00Z`) - Date.parse(`${from}T00:00:00Z`)) / DAY);
}

/** The first of each month after `from` up to `to`. @param {string} from @param {string} to */
export function months(from, to) {
  const found = [];
  const day = new Date(`${from.slice(0, 7)}-01T00:00:00Z`);
  for (day.setUTCMonth(day.getUTCMonth() + 1); day.toISOString().slice(0, 10) <= to; day.setUTCMonth(day.getUTCMonth() + 1)) {
    found.push(day.toISOString().slice(0, 10));
  }
  return found;
}
