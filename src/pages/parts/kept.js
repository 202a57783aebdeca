// The queue of the pages, and what has it sent: opening, becoming visible, a network that is back; a timer
// with longer and longer waits is its own (queue.js).
import { Trouble, ask, session } from "./api.js";
import { changed } from "./live.js";
import { Queue } from "./queue.js";
import { database } from "./store.js";

/** What a queue has around it in a page. */
export const AROUND = {
  person: () => session.peek().who?.person.id,
  ask,
  /** @type {(name: string, run: () => Promise<void>) => Promise<void>} */
  alone: async (name, run) => { await navigator.locks.request(name, run); },
  sent: changed,
  now: () => Date.now(),
};

/** Has a queue sent whenever it may go. @param {{ drain: () => unknown, load: () => unknown }} queue */
export function goesOn(queue) {
  session.subscribe(({ state }) => {
    if (state === "in") queue.drain();
    else queue.load();
  });
  addEventListener("online", () => queue.drain());
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") queue.drain();
  });
}

export const queue = new Queue({ ...AROUND, database });
goesOn(queue);

/**
 * The path of what a row became, to change or remove it.
 * @param {{ id: string, kind: string, subject_id: string }} row
 */
export function pathOf({ id, kind, subject_id }) {
  const under = {
    birth: `/litters/${subject_id}/births`,
    whelping_line: `/litters/${subject_id}/whelping`,
    weight: `/dogs/${subject_id}/weights`,
    temperature: `/dogs/${subject_id}/temperatures`,
    feed: `/dogs/${subject_id}/feeds`,
    health_event: "/health-events",
    pup_check: `/dogs/${subject_id}/pup-checks`,
    dam_check: `/litters/${subject_id}/dam-checks`,
    mating: "/matings",
    heat_reading: `/heats/${subject_id}/readings`,
    pregnancy_check: `/matings/${subject_id}/pregnancy-checks`,
  }[kind];
  if (!under) throw new Error(`no path for ${kind}`);
  return `${under}/${id}`;
}

/** Undoes what was written: takes it back, or removes it where it may have arrived. @param {import("./queue.js").Item} item */
export function undo(item) {
  if (queue.takeBack(item.id) || !item.row) return;
  queue.add({ kennel: item.kennel, says: "queue.undo", call: { method: "DELETE", path: pathOf(item.row), seen: true } });
}

/**
 * Changes what was written: where it still lies, or where it has arrived.
 * @param {import("./queue.js").Item} item @param {Record<string, any>} fields
 */
export function correct(item, fields) {
  if (!item.row || queue.mend(item.id, fields)) return;
  queue.add({ kennel: item.kennel, says: "queue.correct",
    call: { method: "PATCH", path: pathOf(item.row), seen: true, body: fields } });
}

export { Trouble };
