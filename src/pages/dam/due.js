// When her litter is due: the window of all evidence, each piece with its own, and from when she is overdue.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { Fold } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown } from "../parts/states.js";
import { fullDate, number, shortDate, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: Schema["KeptLitter"] }} props */
export function Due({ kennel, litter }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: litter.id };
  const due = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/due-window", at);
  const pups = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/expected-pups", at);
  return html`<section aria-labelledby=${`due-${litter.id}`}><h2 id=${`due-${litter.id}`}>${t("due.title", { litter: litter.name ?? t("litter.unnamed") })}</h2>
    <${Shown} answers=${[due, pups]}>${() => {
      const one = /** @type {Schema["LitterDueWindow"]} */ (due.data);
      const count = pups.data?.forecast;
      return html`<p class="big">${one.earliest_on && one.latest_on ? t("dam.window", { earliest: shortDate(one.earliest_on), latest: shortDate(one.latest_on) }) : t("litter.due_unknown")}</p>
        <p>${[one.likely_on ? t("dam.likely", { day: fullDate(one.likely_on) }) : "", typeof one.coverage === "number" ? t("due.chance", { chance: number(one.coverage * 100) }) : "",
          typeof one.day_of_pregnancy === "number" ? t("litter.day", { day: one.day_of_pregnancy }) : ""].filter(Boolean).join(" · ")}</p>
        ${count && html`<p>${t("due.pups", { likely: count.likely, least: count.least, most: count.most })}</p>`}
        <p><a class="button" href=${address("night", litter.id)}>${t("night.title")}</a></p>
        <${Cautions} cautions=${one.cautions} />
        ${[...one.lacking, ...(pups.data?.lacking ?? [])].map((words) => html`<p>${words}</p>`)}
        ${one.chance_by_day.length > 0 && html`<${Chances} days=${one.chance_by_day} />`}
        <${Fold} label=${t("due.evidence", { count: one.evidence.length })}><ul class="lines-of">${one.evidence.map((line) => html`<li>
          <p><strong>${t(`evidence.${line.kind}`)}, ${fullDate(line.observed_on)}</strong> · ${t("due.weight", { share: number(line.weight * 100) })}
            ${line.earliest_on && line.latest_on && html` · ${t("dam.window", { earliest: shortDate(line.earliest_on), latest: shortDate(line.latest_on) })}`}</p>
          <p>${line.detail}</p><p class="hint">${t("banner.source")} <span lang="en">${line.source}</span></p></li>`)}
          ${one.adjustments.map((shift) => html`<li><p><span>${shift.reason}</span>: ${shift.days > 0 ? "+" : "−"}${number(Math.abs(shift.days), 1)} ${t("heat.days")}</p>
            <p class="hint">${t("banner.source")} <span lang="en">${shift.source}</span></p></li>`)}
          ${one.conflicts.map((conflict) => html`<li>${conflict.detail}</li>`)}
          ${one.left_out.map((left) => html`<li>${left.evidence}: ${left.why}</li>`)}</ul><//>
        ${one.overdue_limits.length > 0 && html`<${Fold} label=${t("due.overdue", { day: fullDate(one.overdue_limits[0]?.ring_on ?? "") })}><ul class="lines-of">${one.overdue_limits.map((limit) => html`<li>
          <p>${t(`evidence.${limit.counted_from}`)}: ${t("due.ring", { day: fullDate(limit.ring_on) })}${limit.call_on ? ` · ${t("due.call", { day: fullDate(limit.call_on) })}` : ""}</p>
          <p class="hint">${t("banner.source")} <span lang="en">${limit.source}</span></p></li>`)}</ul><//>`}
        ${count && html`<${Fold} label=${t("due.pups_why")}><ul class="lines-of">${count.basis.map((words) => html`<li>${words}</li>`)}</ul><//>`}
        <p class="standing">${one.standing_line}</p>`;
    }}<//></section>`;
}

/** The chance of each day as a bar with its figure. @param {{ days: Schema["DayChance"][] }} props */
function Chances({ days }) {
  const most = Math.max(...days.map((day) => day.chance));
  return html`<ul class="bars" aria-label=${t("due.by_day")}>${days.filter((day) => day.chance >= 0.005).map((day) => html`<li key=${day.falls_on}>
    <span>${shortDate(day.falls_on)}</span><span class="bar"><span style=${{ width: `${Math.round((day.chance / most) * 100)}%` }}></span></span><span>${number(day.chance * 100)} %</span></li>`)}</ul>`;
}
