// What the kennel's country calls for beside the plans that hold everywhere, and a plan of it taken up for this litter.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: string }} props */
export function Regional({ kennel, litter }) {
  const own = { kennel_id: kennel.kennel_id };
  const region = useAnswer("/v1/kennels/{kennel_id}/health-plans/regional", own);
  const taken = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/health-plans", { ...own, litter_id: litter });
  const decides = kennel.role === "owner" || kennel.role === "co_owner";
  return html`<${Shown} answers=${[region, taken]}>${() => {
    const all = /** @type {Schema["RegionalSchedule"]} */ (region.data);
    const keys = (taken.data?.items ?? []).map((one) => one.plan_key);
    return html`<p>${all.jurisdiction ? t("regional.of", { country: all.jurisdiction }) : t("regional.unknown")}</p>
      <${Cautions} cautions=${all.cautions} />
      <p><strong>${t("regional.rabies")} ${t(`required.${all.rabies.required}`)}</strong>${[typeof all.rabies.by_days === "number" ? t("regional.by_days", { days: all.rabies.by_days }) : "",
        typeof all.rabies.repeat_days === "number" ? t("regional.repeat", { days: all.rabies.repeat_days }) : ""].filter(Boolean).map((text) => ` · ${text}`).join("")}</p>
      ${all.rabies.note && html`<p lang="en">${all.rabies.note}</p>`}
      <p class="hint">${t("banner.source")} <span lang="en">${all.rabies.source}</span>${all.rabies.checked_on ? ` ${t("regional.read", { day: fullDate(all.rabies.checked_on) })}` : ""}</p>
      <ul class="lines-of">${all.plans.map((plan) => {
        const follows = plan.is_followed || (plan.plan_key && keys.includes(plan.plan_key));
        return html`<li key=${`${plan.disease} ${plan.plan_key}`}><p><strong>${follows ? "✓ " : ""}<span>${plan.disease}</span></strong> · ${t(`guideline.${plan.standing}`)} · ${t(follows ? "regional.follows" : "regional.follows_not")}</p>
          <p>${plan.why}</p>
          <p class="hint">${t("banner.source")} <span lang="en">${plan.source}</span> ${t("regional.read", { day: fullDate(plan.checked_on) })}</p>
          ${!follows && plan.plan_key && decides && html`<${Form} kennel=${kennel.kennel_id} draft=${`regional/${litter}/${plan.plan_key}`} says="says.litter_plan" fields=${[]} button=${t("regional.follow")}
            call=${() => ({ method: "POST", path: `/litters/${litter}/health-plans`, body: { plan_key: plan.plan_key } })} />`}</li>`;
      })}</ul>
      <p>${t("regional.apart", { days: all.live_vaccines_apart_days })}</p>
      <p class="standing">${all.standing_line}</p>`;
  }}<//>`;
}
