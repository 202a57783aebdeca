// Days of an orphan's plan that are alike, together: a phone shows a few lines instead of thirty.

/** @typedef {import("../parts/types.d.ts").Schema["RearingDay"]} Day */

/** @param {Day[]} days in their order @returns {{ first: Day, last: Day }[]} */
export function spansOf(days) {
  const alike = (/** @type {Day} */ { falls_on: on, age_days: age, ...figures }) => JSON.stringify(figures);
  /** @type {{ first: Day, last: Day }[]} */
  const spans = [];
  for (const day of days) {
    const before = spans.at(-1);
    if (before && alike(before.last) === alike(day)) before.last = day;
    else spans.push({ first: day, last: day });
  }
  return spans;
}
