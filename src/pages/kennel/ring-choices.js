// What one chooses of rings, as it is typed into a form and as the service has it. Plain values in, plain values out.

/** @typedef {import("../parts/types.d.ts").Schema["RingChoices"]} Choices */
/** @typedef {import("../parts/typed.js").Values} Values */

/** Kinds of alarms that there are, by how their codes begin. */
export const KINDS = ["whelping", "overdue", "pregnancy", "dating", "newborn", "growth", "feeding", "dam", "health", "go_home"];
export const LEVELS = ["emergency", "act", "note"];

/** @param {Choices} choices @returns {Values} */
export function asTyped({ ways = [], kinds = [], litter_ids = [], level = "act", quiet, unseen_minutes, tasks_at, letter_at, language = "en" }) {
  return {
    push: ways.includes("push"), mail: ways.includes("mail"), level, kinds, litter_ids,
    "quiet/begin": quiet?.begin ?? "", "quiet/end": quiet?.end ?? "", "quiet/emergencies": quiet?.emergencies ?? false,
    unseen_minutes: unseen_minutes === null || unseen_minutes === undefined ? "" : String(unseen_minutes),
    tasks_at: tasks_at ?? "", letter_at: letter_at ?? "", language,
  };
}

/** What was chosen, changed by what a form says; what it does not ask stays. @param {Choices} before @param {Values} said @returns {Choices} */
export function chosen(before, said) {
  const { push, mail, "quiet/begin": begin, "quiet/end": end, "quiet/emergencies": emergencies, ...plain } = said;
  const is = (/** @type {any} */ ticked, /** @type {"push" | "mail"} */ way) => (ticked === undefined ? before.ways?.includes(way) : ticked);
  const ways = /** @type {("push" | "mail")[]} */ (["push", "mail"]).filter((way) => is(way === "push" ? push : mail, way));
  // Where one of the two times is given, the service says that the other is missing.
  const quiet = begin || end ? { ...(begin ? { begin } : {}), ...(end ? { end } : {}), emergencies: emergencies === true } : null;
  return /** @type {Choices} */ ({ ...before, ...plain, ways, quiet: begin === undefined ? before.quiet : quiet });
}
