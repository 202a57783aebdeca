// The year: heats, litters and clashes as a picture of weeks, pups against buyers, and matings tried by moving them.
import { html, useState } from "../parts/html.js";
import { Fold } from "../parts/form.js";
import { Frame } from "../parts/frame.js";
import "../parts/record.js";
import { useAnswer, useAsked } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown, State } from "../parts/states.js";
import { fullDate, learn, number, shortDate, t } from "../parts/texts.js";
import en from "../texts/en/year.js";
import de from "../texts/de/year.js";
import { Chart } from "./chart.js";
import { Drafts } from "./drafts.js";
import { shifted } from "./days.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {{ dam_id: string, name: string, heat_number?: number, mated_on?: string }} Draft */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Year({ kennel }) {
  const own = { kennel_id: kennel.kennel_id };
  const place = `draft/year/${kennel.kennel_id}`;
  const [drafts, setDrafts] = useState(() => /** @type {Draft[]} */ (JSON.parse(localStorage.getItem(place) ?? "[]")));
  const keep = (/** @type {Draft[]} */ next) => {
    localStorage.setItem(place, JSON.stringify(next));
    setDrafts(next);
  };
  const tried = useAsked("/v1/kennels/{kennel_id}/planner/what-if", own, { drafts });
  const dams = useAnswer("/v1/kennels/{kennel_id}/dogs", own, "?for_breeding=true&sex=female&limit=100");
  return html`<${Frame} title=${t("year.title")} kennel=${kennel.kennel_id} wide=${true}>
    <${Shown} answers=${[tried, dams]}>${() => {
      const plan = /** @type {Schema["PlannerReport"]} */ (tried.data?.plan);
      // The day of mating that the service reckoned with is what is moved.
      const move = (/** @type {string} */ key, /** @type {number} */ days) => keep(drafts.map((one, index) => {
        const day = key === `draft:${index + 1}` ? one.mated_on ?? plan.limits.find((limit) => limit.key === key)?.mated_on : undefined;
        return day ? { dam_id: one.dam_id, name: one.name, mated_on: shifted(day, days) } : one;
      }));
      if (plan.litters.length + plan.heats.length === 0) return html`<${State} state="empty" says=${t("year.empty")} />`;
      return html`
        <section aria-labelledby="picture"><h2 id="picture">${fullDate(plan.span.first_on)} – ${fullDate(plan.span.last_on)}</h2>
          <${Chart} plan=${plan} move=${move} /></section>
        <div class="desk"><div>
          <${Clashes} plan=${plan} />
          <${Drafts} kennel=${kennel} dams=${dams.data?.items ?? []} drafts=${drafts} plan=${plan} keep=${keep} move=${move} />
        </div><div>
          <${Litters} plan=${plan} />
          <${Demand} plan=${plan} />
        </div></div>
        ${plan.notes.map((note) => html`<p>${note}</p>`)}
        <p class="standing">${plan.standing_line} ${plan.limits_note}</p>`;
    }}<//>
  <//>`;
}

/** @param {{ plan: Schema["PlannerReport"] }} props */
function Clashes({ plan }) {
  return html`<section aria-labelledby="clashes"><h2 id="clashes">${t("year.clashes")}</h2>
    ${plan.clashes.length === 0 && html`<p>${t("year.no_clash")}</p>`}
    <ul class="lines-of">${plan.clashes.map((clash) => html`<li><p><strong>✗ ${t(`clash.${clash.kind}`)}</strong> · ${shortDate(clash.first_on)} – ${shortDate(clash.last_on)} · ${t("year.chance", { chance: number(clash.chance * 100) })}</p>
      <p>${clash.detail}</p></li>`)}</ul></section>`;
}

/** @param {{ plan: Schema["PlannerReport"] }} props */
function Litters({ plan }) {
  const span = (/** @type {Schema["DateSpan"]} */ one) => `${shortDate(one.first_on)} – ${shortDate(one.last_on)}`;
  return html`<section aria-labelledby="litters"><h2 id="litters">${t("year.litters")}</h2>
    ${plan.litters.length === 0 && html`<p>${t("year.no_litter")}</p>`}
    <ul>${plan.litters.map((litter) => {
      const against = plan.limits.find((limit) => limit.key === litter.key)?.findings.filter((one) => one.result !== "met") ?? [];
      return html`<li key=${litter.key}><${Fold} label=${html`<span class="lines"><strong>${litter.draft ? `${t("year.draft")} ` : ""}${litter.name}</strong><span>${t("year.born", { day: fullDate(litter.likely_on) })}${against.length > 0 ? ` · ✗ ${t("year.limits", { count: against.length })}` : ""}</span></span>`}>
        <p>${t("year.birth")}: ${span(litter.birth)} (${number(litter.coverage * 100)} %) · ${t("year.critical")}: ${span(litter.critical)}</p>
        <p>${t("year.place")}: ${span(litter.place_needed)} · ${t("year.go_home")}: ${span(litter.go_home)}</p>
        ${litter.pups_range?.length === 2 && html`<p>${t("year.pups", { least: litter.pups_range[0] ?? 0, most: litter.pups_range[1] ?? 0 })}</p>`}
        ${against.map((one) => html`<p>✗ <span>${one.detail}</span></p><p class="hint">${t("banner.source")} <span lang="en">${one.source}</span></p>`)}
        <p><a class="button" href=${address("dam", litter.dam_id)}>${t("year.dam")}</a></p><//></li>`;
    })}</ul></section>`;
}

/** @param {{ plan: Schema["PlannerReport"] }} props */
function Demand({ plan }) {
  const months = plan.demand.filter((month) => month.pups > 0 || month.buyers_served.length > 0);
  return html`<section aria-labelledby="demand"><h2 id="demand">${t("year.demand")}</h2>
    <div class="scrolls" role="region" tabindex="0" aria-label=${t("year.by_month")}><table class="grid"><thead><tr>${["month", "pups_go", "served", "waiting", "without"].map((key) => html`<th scope="col">${t(`year.${key}`)}</th>`)}</tr></thead>
      <tbody>${months.map((month) => html`<tr key=${month.month_begins_on}><th scope="row">${month.month_begins_on.slice(0, 7)}</th><td>${number(month.pups, 1)}</td><td>${month.buyers_served.length}</td><td>${month.buyers_waiting.length}</td><td>${number(month.pups_without_buyer, 1)}</td></tr>`)}</tbody></table></div></section>`;
}
