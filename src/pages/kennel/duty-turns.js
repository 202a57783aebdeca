// Who is on duty when. Plain values in, plain values out.

/** @typedef {import("../parts/types.d.ts").Schema["DutyTurn"]} Turn */

/** Those who are on duty at a moment. @param {Turn[]} turns @param {number} at */
export const onDuty = (turns, at) => turns.filter((turn) => Date.parse(turn.begins_at) <= at && at < Date.parse(turn.ends_at));

/** What is to come or goes on, by when it begins. @param {Turn[]} turns @param {number} at */
export const ahead = (turns, at) => turns.filter((turn) => Date.parse(turn.ends_at) > at).sort((a, b) => Date.parse(a.begins_at) - Date.parse(b.begins_at));

/** The night that goes on or comes next, as fields for its begin and end have it. @param {string} local now, `2026-05-17T22:10` @returns {[string, string]} */
export function tonight(local) {
  const day = local.slice(0, 10);
  const hour = Number(local.slice(11, 13));
  if (hour < 7) return [local, `${day}T07:00`];
  const next = new Date(Date.parse(`${day}T00:00:00Z`) + 86_400_000).toISOString().slice(0, 10);
  return [hour < 20 ? `${day}T20:00` : local, `${next}T07:00`];
}
