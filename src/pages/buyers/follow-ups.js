// Whom to ask how a pup is that has gone.
import { html } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { dayOf, fullDate, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema["PupFollowUps"]} Pup */
/** So many stand on the page; those due longer are folded away. */
const FIRST = 6;
/** @param {Pup} pup */
const last = (pup) => pup.reminders.map((one) => one.due_on).sort().at(-1) ?? "";

/** @param {{ known: import("./buyers.js").Known }} props */
export function FollowUps({ known }) {
  const due = useAnswer("/v1/kennels/{kennel_id}/follow-ups", { kennel_id: known.kennel.kennel_id }, "?due=true");
  return html`<section aria-labelledby="follow"><h2 id="follow">${t("follow.title")}</h2>
    <${Shown} answers=${[due]}>${() => {
      const all = [...(due.data?.items ?? [])].sort((a, b) => last(b).localeCompare(last(a)));
      if (all.length === 0) return html`<p>${t("follow.none")}</p>`;
      const lines = (/** @type {Pup[]} */ pups) => html`<ul>${pups.map((pup) => html`<li key=${pup.placement_id}><${OnePup} known=${known} pup=${pup} /></li>`)}</ul>`;
      return html`${lines(all.slice(0, FIRST))}
        ${all.length > FIRST && html`<${Fold} label=${t("follow.more", { count: all.length - FIRST })}>${lines(all.slice(FIRST))}<//>`}`;
    }}<//></section>`;
}

/** @param {{ known: import("./buyers.js").Known, pup: Pup }} props */
function OnePup({ known, pup }) {
  const { kennel_id: kennel, role } = known.kennel;
  return html`<${Fold} label=${html`<span class="lines"><strong>${known.pup(pup.dog_id)} · ${known.buyer(pup.buyer_id)}</strong>
      <span>${t("follow.due", { count: pup.reminders.length })}</span></span>`}>
    <ul class="lines-of">${pup.reminders.map((reminder) => html`<li key=${reminder.key}><p><span>${reminder.name}</span> · ${fullDate(reminder.due_on)}</p>
      <p class="hint">${t("banner.source")} <span lang="en">${reminder.source}</span></p>
      ${writes(role) && html`<${Form} kennel=${kennel} draft=${`follow/${pup.placement_id}/${reminder.key}`} says="says.follow_up"
        fields=${[{ name: "done_on", label: t("follow.on"), kind: "date", required: true }, { name: "note", label: t("follow.heard"), kind: "lines" }]} first=${{ done_on: dayOf(now()) }}
        call=${(/** @type {any} */ body) => ({ method: "POST", path: `/placements/${pup.placement_id}/follow-ups`, body: { ...body, key: reminder.key } })} />`}</li>`)}</ul><//>`;
}
