// Pictures by age, from birth to now. Plain values in, plain values out.

/** @typedef {{ id: string, taken_on?: string | null }} Dated */
/**
 * `key` of the text that names the group, with `count` in it.
 * @template T
 * @typedef {{ key: string, count: number, items: T[] }} Group
 */

const DAY_MS = 86_400_000;
/** Weeks of age are told up to here, months up to there, and years from then on. */
const [WEEKS, MONTHS] = [16, 24];
/** Days of a mean month and year of the calendar. */
const [MONTH, YEAR] = [30.4369, 365.2425];

/** Days of age on a day; nothing where one of the two is not known to the day. @param {string | null | undefined} born @param {string | null | undefined} day */
export function ageOn(born, day) {
  if (born?.length !== "2026-05-17".length || !day) return undefined;
  return Math.round((Date.parse(day) - Date.parse(born)) / DAY_MS);
}

/** @param {number | undefined} days @param {string | null | undefined} day @returns {[string, number]} */
function groupOf(days, day) {
  if (!day) return ["album.no_day", 0];
  if (days === undefined) return ["album.year", Number(day.slice(0, 4))];
  if (days < 0) return ["album.before", 0];
  if (days === 0) return ["album.birth", 0];
  if (days < WEEKS * 7) return ["album.week", Math.floor(days / 7) + 1];
  if (days < MONTHS * MONTH) return ["album.month", Math.floor(days / MONTH) + 1];
  return ["album.year_of_life", Math.floor(days / YEAR) + 1];
}

/** @template {Dated} T @param {T[]} items @param {string | null | undefined} born @returns {Group<T>[]} */
export function byAge(items, born) {
  const order = [...items].sort((a, b) => (a.taken_on ?? "9").localeCompare(b.taken_on ?? "9") || a.id.localeCompare(b.id));
  /** @type {Group<T>[]} */
  const groups = [];
  for (const item of order) {
    const [key, count] = groupOf(ageOn(born, item.taken_on), item.taken_on);
    const last = groups.at(-1);
    if (last?.key === key && last.count === count) last.items.push(item);
    else groups.push({ key, count, items: [item] });
  }
  return groups;
}
