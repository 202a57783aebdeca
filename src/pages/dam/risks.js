// What may go wrong at a birth, before it: what each risk means for the plan, the kit and who is on call.
import { html } from "../parts/html.js";
import { LevelMark } from "../parts/banner.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
const MEANS = /** @type {const} */ (["on_call", "plan", "kit"]);

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: Schema["KeptLitter"] }} props */
export function BirthRisks({ kennel, litter }) {
  const risks = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/birth-risks", { kennel_id: kennel.kennel_id, litter_id: litter.id });
  const id = `risks-${litter.id}`;
  return html`<section class="risks" aria-labelledby=${id}><h2 id=${id}>${t("risks.title")}</h2>
    <${Shown} answers=${[risks]}>${() => {
      const all = /** @type {Schema["LitterBirthRisks"]} */ (risks.data);
      return html`${all.risks.length === 0 && html`<p>${t("risks.none")}</p>`}
        ${all.talk_over_on && html`<p><strong>${t("risks.talk_over", { day: fullDate(all.talk_over_on) })}</strong></p>`}
        ${all.risks.map((risk) => html`<div class="alarm" data-level=${risk.level} key=${risk.code}>
          <p class="what"><${LevelMark} level=${risk.level} /> <span>${risk.what}</span></p>
          <details class="why"><summary><span class="line">${risk.why}</span></summary>
            ${MEANS.map((means) => risk[means].length > 0 && html`<p><strong>${t(`risks.${means}`)}:</strong> <span>${risk[means].join(" · ")}</span></p>`)}
            <p>${t("banner.source")} <span lang="en">${risk.source}</span></p></details></div>`)}
        ${MEANS.map((means) => all[means].length > 0 && html`<h3 key=${means}>${t(`risks.${means}`)}</h3>
          <ul class="lines-of">${all[means].map((line) => html`<li>${line}</li>`)}</ul>`)}
        ${all.lacking.length > 0 && html`<p>${t("risks.lacking")} <span>${all.lacking.join("; ")}</span>.</p>`}
        <p class="standing">${all.standing_line}</p>`;
    }}<//></section>`;
}
