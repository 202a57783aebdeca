// The rows of the health grid.

/** @typedef {import("../parts/types.d.ts").Schema["DueStep"]} DueStep */
/** @typedef {{ key: string, step: DueStep, pups: Record<string, DueStep> }} Row */

/** The steps of all pups, each once, by their day. @param {string[]} dogs @param {(DueStep[] | undefined)[]} schedules @returns {Row[]} */
export function rowsOf(dogs, schedules) {
  /** @type {Map<string, Row>} */
  const rows = new Map();
  schedules.forEach((steps, place) => {
    for (const step of steps ?? []) {
      const key = `${step.series}/${step.step}/${step.occurrence}`;
      const row = rows.get(key) ?? { key, step, pups: {} };
      row.pups[dogs[place] ?? ""] = step;
      rows.set(key, row);
    }
  });
  return [...rows.values()].sort((a, b) => (a.step.ideal_on ?? "9").localeCompare(b.step.ideal_on ?? "9"));
}
