// Her tests before a mating, and the sires for a dam, side by side: what speaks for and against each, where inbreeding comes from, what pups
// can inherit, and one planned.
import { html, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Fold } from "../parts/form.js";
import { Frame } from "../parts/frame.js";
import "../parts/record.js";
import { useAnswer, useAsked } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown, State } from "../parts/states.js";
import { dayOf, learn, t } from "../parts/texts.js";
import en from "../texts/en/mating.js";
import de from "../texts/de/mating.js";
import { Excluded, Ranked } from "./sire.js";
import { Tests } from "./tests.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, id: string }} props */
export function Mating({ kennel, id }) {
  const dams = useAnswer("/v1/kennels/{kennel_id}/dogs", { kennel_id: kennel.kennel_id }, "?for_breeding=true&sex=female&limit=100");
  return html`<${Frame} title=${t("mating.title")} kennel=${kennel.kennel_id} wide=${true}>
    <${Shown} answers=${[dams]}>${() => {
      const all = dams.data?.items ?? [];
      if (all.length === 0) return html`<${State} state="empty" says=${t("mating.no_dams")} />`;
      const dam = all.find((one) => one.id === id) ?? all[0];
      return html`<nav class="deeds" aria-label=${t("mating.dam")}>${all.map((one) => html`<a class="button" key=${one.id} href=${address("mating", one.id)}
          aria-current=${one.id === dam?.id ? "page" : undefined}>${one.call_name ?? one.name}</a>`)}</nav>
        ${dam && html`<${Sires} key=${dam.id} kennel=${kennel} dam=${dam} />`}`;
    }}<//>
  <//>`;
}

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, dam: Schema["KeptDog"] }} props */
function Sires({ kennel, dam }) {
  const own = { kennel_id: kennel.kennel_id };
  const [on, setOn] = useState("");
  const [set, setSet] = useState("");
  const sets = useAnswer("/v1/kennels/{kennel_id}/rules/breeding-sets", own);
  const plan = useAsked("/v1/kennels/{kennel_id}/mating-plans", own, { dams: [dam.id], ...(on ? { mated_on: on } : {}), ...(set ? { rule_set: set } : {}) });
  const name = dam.call_name ?? dam.name ?? "";
  return html`<h2>${t("mating.for", { name })}</h2>
    <div class="row">
      <label>${t("mating.on")} <input type="date" value=${on} min=${dayOf(now())} onChange=${(/** @type {any} */ event) => setOn(event.target.value)} /></label>
      <label>${t("mating.rules")} <select value=${set} onChange=${(/** @type {any} */ event) => setSet(event.target.value)}>
        <option value="">${t("mating.rules_usual")}</option>
        ${(sets.data?.items ?? []).map((one) => html`<option value=${one.name} selected=${one.name === set}>${one.title}</option>`)}</select></label>
      <a class="button" href=${address("dam", dam.id)}>${t("mating.her_page", { name })}</a>
    </div>
    <${Fold} label=${t("tests.of_dam")}><${Tests} kennel=${kennel} of="dam" dog=${dam.id} on=${on} /><//>
    <${Shown} answers=${[plan]}>${() => {
      const answer = /** @type {Schema["MatingPlan"]} */ (plan.data);
      const ranking = answer.grid.dams[0];
      if (!ranking) return html`<${State} state="empty" says=${t("mating.no_sires")} />`;
      const called = (/** @type {string} */ dog) => {
        const one = answer.dogs.find(({ dog_id: id }) => id === dog);
        return one?.call_name ?? one?.name ?? "–";
      };
      const about = { kennel, dam: dam.id, on };
      return html`
        <p><strong>${ranking.ranked_in_all > 0 ? t("mating.possible", { count: ranking.ranked_in_all }) : t("mating.none_possible")}</strong>
          ${ranking.excluded_in_all > 0 && html` ${t("mating.left_out", { count: ranking.excluded_in_all })}`}</p>
        <ul class="cards sires">${ranking.ranked.map((one) => html`<li class="card" key=${one.sire_id}><${Ranked} one=${one} name=${called(one.sire_id)} about=${about} /></li>`)}
          ${ranking.excluded.map((one) => html`<li class="card" key=${one.sire_id}><${Excluded} one=${one} name=${called(one.sire_id)} about=${about} /></li>`)}</ul>
        <p class="standing">${answer.grid.about_inbreeding}</p>
        <p class="standing">${answer.grid.rule_set}. ${answer.grid.law}</p>
        <p class="standing">${answer.grid.formula}</p>`;
    }}<//>`;
}
