// A round: whose turn it is, what was written, what is expected. Plain values in, plain values out; what was
// entered is kept on the phone, so that a round that was left goes on.

import { number } from "../parts/texts.js";
import { temperatureTyping, warmth, weight, weightTyping } from "../parts/units.js";

/** @typedef {"weight" | "temperature" | "feed"} Kind */
/** @typedef {{ dog: string, label: string, collar: string | null, ordinal: number }} Pup */
/** @typedef {{ value: number, item: string, meant?: true }} Entered `meant`: that it is no slip */
/** @typedef {{ day: string, last: number, entered: Record<string, Entered>, at: string | undefined, typed: string }} Round
 *  `last`: when it was last written in */

/** What each kind of round writes, and within which bounds. */
export const KINDS = /** @type {const} */ ({
  weight: { field: "weight_g", when: "measured_at", low: 20, high: 150000 },
  temperature: { field: "temperature_c", when: "measured_at", low: 25, high: 45 },
  feed: { field: "volume_ml", when: "fed_at", low: 0.1, high: 5000 },
});

/** How its figures are typed. @param {Kind} kind @returns {import("../parts/units.js").Typing} */
export function typingOf(kind) {
  if (kind === "weight") return weightTyping();
  if (kind === "temperature") return temperatureTyping();
  return { unit: "ml", digits: 1, kept: (ml) => ml, typed: (ml) => ml };
}

/** How its figures are read. @param {Kind} kind @returns {(value: number) => string} */
export function saidOf(kind) {
  if (kind === "weight") return weight;
  return kind === "temperature" ? warmth : (ml) => `${number(ml, 1)}\u00a0ml`;
}

const STANDARD = ["red", "blue", "green", "yellow", "white", "black", "orange", "purple", "pink", "brown", "grey", "turquoise"];

/**
 * The pups that are here, in the order of the collars; those without one after them, as they were born.
 * @param {{ dog_id: string, label: string, present: boolean }[]} pups
 * @param {{ dog_id: string, collar: string | null, ordinal: number }[]} births @param {string[]} own the kennel's list
 * @returns {Pup[]}
 */
export function order(pups, births, own) {
  const list = (own.length > 0 ? own : STANDARD).map((name) => name.toLowerCase());
  const place = (/** @type {Pup} */ pup) => {
    const at = pup.collar ? list.indexOf(pup.collar.toLowerCase()) : -1;
    return at < 0 ? list.length : at;
  };
  return pups
    .filter((pup) => pup.present)
    .map((pup) => {
      const birth = births.find((one) => one.dog_id === pup.dog_id);
      return { dog: pup.dog_id, label: pup.label, collar: birth?.collar ?? null, ordinal: birth?.ordinal ?? 0 };
    })
    .sort((a, b) => place(a) - place(b) || a.ordinal - b.ordinal);
}

/** The next pup without an entry, from one on and round. @param {Pup[]} pups @param {Record<string, Entered>} entered @param {string} [from] */
export function next(pups, entered, from) {
  const start = pups.findIndex((pup) => pup.dog === from) + 1;
  return [...pups.slice(start), ...pups.slice(0, start)].find((pup) => !entered[pup.dog])?.dog;
}

/**
 * What the pad shows after a key.
 * @param {string} typed @param {string} key a digit, `,` or `back` @param {number} digits allowed after the point
 */
export function press(typed, key, digits) {
  if (key === "back") return typed.slice(0, -1);
  if (key === ",") return digits > 0 && typed !== "" && !typed.includes(",") ? `${typed},` : typed;
  const after = typed.split(",")[1];
  if (after !== undefined && after.length >= digits) return typed;
  return typed === "0" ? key : (typed + key).slice(0, 7);
}

/** @param {string} typed */
export const valueOf = (typed) => (typed === "" ? NaN : Number(typed.replace(",", ".")));

/** Past midnight a round goes on for so long after it was last written in. */
const GOES_ON_MS = 60 * 60_000;

/** A round nothing is written in. @param {string} day @param {number} now @returns {Round} */
export const fresh = (day, now) => ({ day, last: now, entered: {}, at: undefined, typed: "" });

/** Whether a round still is the one of this day: a new day is a new round, but not in the midst of one. @param {Round} round @param {string} day @param {number} now */
export const goesOn = (round, day, now) => round.day === day || (now >= round.last && now - round.last < GOES_ON_MS);

/** @param {string} litter @param {Kind} kind @param {string} day @param {number} now @returns {Round} */
export function resume(litter, kind, day, now) {
  const kept = JSON.parse(localStorage.getItem(`round/${litter}/${kind}`) ?? "null");
  return kept?.entered && goesOn(kept, day, now) ? kept : fresh(day, now);
}

/** @param {string} litter @param {Kind} kind @param {Round} round */
export function keepRound(litter, kind, round) {
  localStorage.setItem(`round/${litter}/${kind}`, JSON.stringify(round));
}
