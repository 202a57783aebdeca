// What a whelping's log shows: what the service has, with what lies in the queue laid over it (written,
// corrected or taken back and not yet sent). Plain values in, plain values out.
import { asService } from "../parts/clock.js";

/** @typedef {import("../parts/queue.js").Item} Item */
/** @typedef {{ id: string, kind: "birth" | "whelping_line", at: number, record: Record<string, any>, state: "stored" | "kept" | "refused", item?: Item }} Line */

/**
 * @param {string} litter @param {any[]} births @param {any[]} lines @param {Item[]} items
 * @returns {Line[]} the latest first
 */
export function merged(litter, births, lines, items) {
  /** @type {Map<string, Line>} */
  const all = new Map();
  for (const record of births) {
    all.set(record.id, { id: record.id, kind: "birth", at: Date.parse(record.born_at), record, state: "stored" });
  }
  for (const record of lines) {
    all.set(record.id, { id: record.id, kind: "whelping_line", at: Date.parse(record.happened_at), record, state: "stored" });
  }
  for (const item of items) {
    const { row, call } = item;
    if (row && row.subject_id === litter && (row.kind === "birth" || row.kind === "whelping_line") && !all.has(row.id)) {
      const at = asService(Date.parse(row.record["born_at"] ?? row.record["happened_at"]));
      all.set(row.id, { id: row.id, kind: row.kind, at, record: row.record, state: item.state, item });
    }
    const id = call?.path.startsWith(`/litters/${litter}/`) ? call.path.split("/").pop() : undefined;
    const known = id ? all.get(id) : undefined;
    if (!known || !call || !id || item.state === "refused") continue;
    if (call.method === "DELETE") all.delete(id);
    if (call.method === "PATCH") all.set(id, { ...known, record: { ...known.record, ...call.body }, state: "kept" });
  }
  return [...all.values()].sort((a, b) => b.at - a.at || (a.id < b.id ? 1 : -1));
}

/** Standard names in the order in which the service proposes them. */
const STANDARD = ["red", "blue", "green", "yellow", "white", "black", "orange", "purple", "pink", "brown", "grey", "turquoise"];

/**
 * The next collar while births lie in the queue: the service's proposal, or the next after it in the order
 * that no pup here wears.
 * @param {string | null | undefined} proposed @param {string[]} worn @param {string[]} own the kennel's list
 */
export function nextCollar(proposed, worn, own) {
  const taken = new Set(worn.map((name) => name.toLowerCase()));
  if (proposed && !taken.has(proposed.toLowerCase())) return proposed;
  const order = own.length > 0 ? own : STANDARD;
  const from = order.findIndex((name) => name.toLowerCase() === proposed?.toLowerCase()) + 1;
  return order.slice(from).find((name) => !taken.has(name.toLowerCase())) ?? null;
}

/**
 * How the night stands by the service's answer and what lies over it.
 * @param {import("../parts/types.d.ts").Schema["WhelpingStatus"]} status @param {Line[]} log
 */
export function standing(status, log) {
  const births = log.filter((line) => line.kind === "birth" && line.state !== "refused");
  const more = births.length - status.pups_out;
  const left = (/** @type {number | null | undefined} */ count) =>
    typeof count === "number" ? Math.max(0, count - more) : undefined;
  return {
    out: births.length,
    alive: births.filter((line) => line.record["outcome"] === "alive").length,
    lastAt: births[0]?.at,
    atLeast: left(status.still_to_come_at_least),
    atMost: left(status.still_to_come_at_most),
    stage: more > 0 && status.stage !== "all_out" ? /** @type {const} */ ("second") : status.stage,
  };
}
