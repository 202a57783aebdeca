// Matings tried in the plan: added for a dam, moved by days, and planned on the page of her sires.
import { html, useState } from "../parts/html.js";
import { writes } from "../parts/kennel.js";
import { address } from "../parts/router.js";
import { fullDate, t } from "../parts/texts.js";

/** @typedef {import("./year.js").Draft} Draft */
/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/**
 * @param {{ kennel: import("../parts/types.d.ts").MyKennel, dams: Schema["KeptDog"][], drafts: Draft[], plan: Schema["PlannerReport"],
 *   keep: (drafts: Draft[]) => void, move: (key: string, days: number) => void }} props
 */
export function Drafts({ kennel, dams, drafts, plan, keep, move }) {
  const [dam, setDam] = useState("");
  const add = (/** @type {Event} */ event) => {
    event.preventDefault();
    const one = dams.find((each) => each.id === dam);
    if (one) keep([...drafts, { dam_id: one.id, name: one.call_name ?? one.name ?? "", heat_number: 1 }]);
    setDam("");
  };
  return html`<section aria-labelledby="try"><h2 id="try">${t("year.try")}</h2>
    <p>${t("year.try_how")}</p>
    <form class="row" onSubmit=${add}><label>${t("year.dam")} <select required value=${dam} onChange=${(/** @type {any} */ event) => setDam(event.target.value)}><option value="">${t("form.choose")}</option>
      ${dams.map((one) => html`<option value=${one.id} selected=${one.id === dam}>${one.call_name ?? one.name}</option>`)}</select></label>
      <button class="main">${t("year.add")}</button></form>
    <ul>${drafts.map((draft, index) => {
      const key = `draft:${index + 1}`;
      const litter = plan.litters.find((one) => one.key === key);
      const mated = plan.limits.find((one) => one.key === key)?.mated_on ?? draft.mated_on;
      const by = (/** @type {number} */ days, /** @type {string} */ words) => html`<button aria-label=${t("year.by", { name: draft.name, days: words })} disabled=${!mated} onClick=${() => move(key, days)}>${words}</button>`;
      return html`<li class="card" key=${key} data-draft=${key}><h3>${draft.name}</h3>
        <p>${mated ? t("year.mated", { day: fullDate(mated) }) : ""}${litter ? ` · ${t("year.born", { day: fullDate(litter.likely_on) })}` : ""}</p>
        <div class="row">${by(-7, "−7")}${by(-1, "−1")}${by(1, "+1")}${by(7, "+7")}
          <button onClick=${() => keep(drafts.filter((_, place) => place !== index))}>${t("year.drop")}</button>
          ${writes(kennel.role) && html`<a class="button" href=${address("mating", draft.dam_id)}>${t("year.sires")}</a>`}</div></li>`;
    })}</ul></section>`;
}
