// In what a kennel reads and types weights and temperatures. Kept are whole grams and degrees Celsius; a pound is
// 453.59237 g and has sixteen ounces (international yard and pound agreement, 1959).
import { signal } from "./html.js";
import { number } from "./texts.js";

const GRAMS_PER_OUNCE = 453.59237 / 16;

/** The kennel's choice. @type {import("../vendor/signals.js").Signal<{ weight: "g" | "kg" | "lb_oz", temperature: "c" | "f" }>} */
export const units = signal(/** @type {{ weight: "g" | "kg" | "lb_oz", temperature: "c" | "f" }} */ ({ weight: "g", temperature: "c" }));

/**
 * How a figure is typed: its unit, digits after the point, and to and from what is kept.
 * @typedef {{ unit: string, digits: number, kept: (typed: number) => number, typed: (kept: number) => number }} Typing
 */

const rounded = (/** @type {number} */ value, /** @type {number} */ digits) => Math.round(value * 10 ** digits) / 10 ** digits;

/** @type {Record<"g" | "kg" | "lb_oz", Typing>} */
const WEIGHTS = {
  g: { unit: "g", digits: 0, kept: Math.round, typed: (grams) => grams },
  kg: { unit: "kg", digits: 3, kept: (kilograms) => Math.round(kilograms * 1000), typed: (grams) => rounded(grams / 1000, 3) },
  // A scale for pups shows ounces; sixteen of them are a pound where it is read.
  lb_oz: { unit: "oz", digits: 1, kept: (ounces) => Math.round(ounces * GRAMS_PER_OUNCE), typed: (grams) => rounded(grams / GRAMS_PER_OUNCE, 1) },
};
/** @type {Record<"c" | "f", Typing>} */
const TEMPERATURES = {
  c: { unit: "°C", digits: 1, kept: (celsius) => celsius, typed: (celsius) => rounded(celsius, 1) },
  f: { unit: "°F", digits: 1, kept: (fahrenheit) => rounded((fahrenheit - 32) / 1.8, 2), typed: (celsius) => rounded(celsius * 1.8 + 32, 1) },
};

/** How a weight is typed here. */
export const weightTyping = () => WEIGHTS[units.value.weight];
/** How a temperature is typed here. */
export const temperatureTyping = () => TEMPERATURES[units.value.temperature];

/** A weight as it is read here: `312 g`, `0.312 kg`, `11.0 oz`, `1 lb 4.5 oz`. @param {number} grams */
export function weight(grams) {
  const { unit, digits, typed } = weightTyping();
  if (unit !== "oz") return `${number(typed(grams), digits)}\u00a0${unit}`;
  const ounces = typed(grams);
  const pounds = Math.floor(ounces / 16);
  const rest = `${number(rounded(ounces - 16 * pounds, 1), 1)}\u00a0oz`;
  return pounds > 0 ? `${pounds}\u00a0lb ${rest}` : rest;
}

/** A temperature as it is read here. @param {number} celsius */
export function warmth(celsius) {
  const { unit, digits, typed } = temperatureTyping();
  return `${number(typed(celsius), digits)}\u00a0${unit}`;
}
