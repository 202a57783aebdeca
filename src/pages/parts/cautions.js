// What the service says to mind: how grave, what, and why with its source a tap away.
import { html } from "./html.js";
import { LevelMark } from "./banner.js";
import { t } from "./texts.js";

/** @typedef {import("./types.d.ts").Schema["Caution"]} Caution */

/** @param {{ cautions: Caution[] }} props */
export function Cautions({ cautions }) {
  return cautions.map((caution) => html`<div class="alarm" data-level=${caution.level} key=${caution.what}>
    <p class="what"><${LevelMark} level=${caution.level} /> <span>${caution.what}</span></p>
    <details class="why"><summary><span class="line">${caution.why}</span></summary>
      <p>${t("banner.source")} <span lang="en">${caution.source}</span></p></details></div>`);
}
