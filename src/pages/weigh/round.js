// A round: whose turn it is, what was written, what is expected. Plain values in, plain values out; what was
// entered is kept on the phone, so that a round that was left goes on.

/** @typedef {"weight" | "temperature" | "feed"} Kind */
/** @typedef {{ dog: string, label: string, collar: string | null, ordinal: number }} Pup */
/** @typedef {{ value: number, item: string, meant?: true }} Entered `meant`: that it is no slip */
/** @typedef {{ entered: Record<string, Entered>, at: string | undefined, typed: string }} Round */

/** What each kind of round writes. `digits`: after the point. */
export const KINDS = /** @type {const} */ ({
  weight: { field: "weight_g", when: "measured_at", unit: "g", digits: 0, low: 20, high: 150000 },
  temperature: { field: "temperature_c", when: "measured_at", unit: "°C", digits: 1, low: 25, high: 45 },
  feed: { field: "volume_ml", when: "fed_at", unit: "ml", digits: 1, low: 0.1, high: 5000 },
});

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

/** @param {string} litter @param {Kind} kind @param {string} day @returns {Round} */
export function resume(litter, kind, day) {
  const kept = JSON.parse(localStorage.getItem(`round/${litter}/${kind}`) ?? "null");
  return kept?.day === day ? kept.round : { entered: {}, at: undefined, typed: "" };
}

/** @param {string} litter @param {Kind} kind @param {string} day @param {Round} round */
export function keepRound(litter, kind, day, round) {
  localStorage.setItem(`round/${litter}/${kind}`, JSON.stringify({ day, round }));
}
