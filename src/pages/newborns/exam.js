// The look over a newborn: its eleven places, and what taps on them mean. Plain values in, plain values out.

/** In the order of the published document. */
export const ITEMS = /** @type {const} */ (["palate", "suck_reflex", "anus", "umbilicus", "belly_wall", "limbs", "spine_and_tail", "skull", "eyes", "genitals", "skin"]);

/** @typedef {typeof ITEMS[number]} Item */
/** What is not named is as it should be. @typedef {Partial<Record<Item, "abnormal" | "left" | undefined>>} Found */

/** A tap: not as it should be; another: not looked at; the third is as before. @param {Found} found @param {Item} item @returns {Found} */
export function tapped(found, item) {
  const was = found[item];
  return { ...found, [item]: was === undefined ? "abnormal" : was === "abnormal" ? "left" : undefined };
}

/** The same as the service keeps it: where nobody looked nothing is said. @param {Found} found @returns {Partial<Record<Item, "normal" | "abnormal">>} */
export function examOf(found) {
  const looked = ITEMS.filter((item) => found[item] !== "left");
  return Object.fromEntries(looked.map((item) => [item, found[item] === "abnormal" ? "abnormal" : "normal"]));
}

/** How many are not as they should be. @param {Found} found */
export const wrongIn = (found) => ITEMS.filter((item) => found[item] === "abnormal").length;
