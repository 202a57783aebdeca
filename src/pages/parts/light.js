// Light, dark or night (dim and red, so that neither dam nor eyes are dazzled). By itself: as the device is
// set, and on the night page from 21 to 6 o'clock the night's.
import { effect, signal } from "./html.js";
import { route } from "./router.js";

/** @typedef {"auto" | "light" | "dark" | "night"} Light */
/** @type {Light[]} */
export const lights = ["auto", "light", "dark", "night"];

const chosen = localStorage.getItem("light");
export const light = signal(/** @type {Light} */ (lights.find((one) => one === chosen) ?? "auto"));
/** Counts on each hour, so that the night comes by itself. */
const hour = signal(new Date().getHours());
setInterval(() => { hour.value = new Date().getHours(); }, 60_000);

/** @param {Light} chosen */
export function setLight(chosen) {
  localStorage.setItem("light", chosen);
  light.value = chosen;
}

/** @param {Light} wished @param {string} page @param {number} at hour of the day */
export function shownLight(wished, page, at) {
  if (wished !== "auto") return wished;
  return page === "night" && (at >= 21 || at < 6) ? "night" : "auto";
}

effect(() => {
  document.documentElement.dataset["light"] = shownLight(light.value, route.value.page, hour.value);
});
