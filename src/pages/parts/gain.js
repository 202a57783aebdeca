// What a pup gained since the weighing before, and in how long where that is not the day before.
import { t } from "./texts.js";
import { weight } from "./units.js";

/** @param {{ gain_g: number, hours: number }} change */
export function gained({ gain_g: gain, hours }) {
  const grams = `${gain < 0 ? "−" : "+"}${weight(Math.abs(gain))}`;
  const days = Math.round(hours / 24);
  return days > 1 ? t("gain.over", { grams, days }) : grams;
}
