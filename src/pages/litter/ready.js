// Whether the pups may go, and when: each rule with why and its day, for all and for each.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { now } from "../parts/clock.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { Paper } from "../parts/paper.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { dayOf, fullDate, language, t } from "../parts/texts.js";
import { typedOf } from "../parts/typed.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** Shape beside the word. */
const MARK = { met: "✓", unmet: "✗", unknown: "?" };

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: string }} props */
export function Ready({ kennel, litter }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: litter };
  const ready = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/readiness", at);
  const rules = useAnswer("/v1/kennels/{kennel_id}/rules/readiness", { kennel_id: kennel.kennel_id });
  const papers = rules.data?.in_force.rules.flatMap((rule) => rule.papers ?? []) ?? [];
  return html`<section aria-labelledby="ready"><h2 id="ready">${t("ready.title")}</h2>
    <${Shown} answers=${[ready]}>${() => {
      const answer = /** @type {Schema["LitterReadiness"]} */ (ready.data);
      return html`<p><strong>${answer.ready ? t("ready.all") : answer.ready_on ? t("ready.all_on", { day: fullDate(answer.ready_on) })
          : answer.first_ready_on ? t("ready.first_on", { day: fullDate(answer.first_ready_on) }) : t("ready.no_day")}</strong></p>
        <${Cautions} cautions=${answer.cautions} />
        <ul class="pups-ready">${answer.pups.map((pup) => html`<li key=${pup.dog_id}><${OnePup} kennel=${kennel} pup=${pup} papers=${papers} /></li>`)}</ul>`;
    }}<//></section>`;
}

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, pup: Schema["PupReadiness"], papers: Schema["RequiredPaper"][] }} props */
function OnePup({ kennel, pup, papers }) {
  const open = pup.checks.filter((check) => check.result !== "met");
  const base = `/v1/kennels/${kennel.kennel_id}/dogs/${pup.dog_id}`;
  const label = html`<span class="lines"><strong>${pup.name}</strong>
    <span>${pup.ready ? `✓ ${t("ready.may_go")}` : `✗ ${pup.ready_on ? t("ready.from", { day: fullDate(pup.ready_on) }) : t("ready.no_day")} · ${t("ready.open", { count: open.length })}`}</span></span>`;
  return html`<${Fold} label=${label}>
    <ul class="checks">${pup.checks.map((check) => html`<li key=${check.rule} data-result=${check.result}>
      <p><strong>${MARK[check.result]} ${t(`rule.${check.rule}`)}</strong> ${t(`result.${check.result}`)}${check.result !== "met" && check.met_on ? ` · ${fullDate(check.met_on)}` : ""}</p>
      <p>${check.detail}</p><p class="hint">${t("banner.source")} <span lang="en">${check.source}</span></p>
      ${check.overridden && html`<p>${t("ready.set_aside", { by: check.overridden.decided_by, day: fullDate(check.overridden.decided_on) })} ${check.overridden.reason}</p>`}</li>`)}</ul>
    <div class="row"><${Paper} path=${`${base}/booklet.pdf?language=${language.peek()}`} name="booklet.pdf">${t("litter.booklet")}<//></div>
    ${writes(kennel.role) && html`<${Fold} label=${t("ready.known")}><${Known} kennel=${kennel.kennel_id} dog=${pup.dog_id} /><//>`}
    ${writes(kennel.role) && papers.length > 0 && html`<${Fold} label=${t("ready.paper")}>
      <${Form} kennel=${kennel.kennel_id} draft=${`paper/${pup.dog_id}`} says="says.paper" first=${{ done_on: dayOf(now()) }}
        fields=${[{ name: "paper", label: t("ready.which"), kind: "choice", required: true, options: papers.map((one) => [one.paper, one.name]) },
          { name: "done_on", label: t("ready.since"), kind: "date", required: true }, { name: "note", label: t("event.note") }]}
        call=${(/** @type {any} */ body) => ({ method: "POST", path: `/dogs/${pup.dog_id}/papers`, body })} /><//>`}
    ${kennel.role === "owner" && open.length > 0 && html`<${Fold} label=${t("ready.aside")}>
      <${Form} kennel=${kennel.kennel_id} draft=${`aside/${pup.dog_id}`} says="says.aside"
        fields=${[{ name: "rule", label: t("ready.rule"), kind: "choice", required: true, options: open.map((check) => [check.rule, t(`rule.${check.rule}`)]) },
          { name: "reason", label: t("ready.reason"), kind: "lines", required: true }]}
        call=${(/** @type {any} */ body) => ({ method: "POST", path: `/dogs/${pup.dog_id}/readiness-overrides`, body })} /><//>`}
  <//>`;
}

/** What a pup is called and known by; the number of its chip is read off here, among its own rules. @param {{ kennel: string, dog: string }} props */
function Known({ kennel, dog }) {
  const known = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}", { kennel_id: kennel, dog_id: dog });
  const fields = ["call_name", "name", "colour"].map((name) => ({ name, label: t(`dogs.${name}`) })).concat({ name: "chip_number", label: t("dogs.chip") });
  return html`<${Shown} answers=${[known]}>${() => html`<${Form} kennel=${kennel} draft=${`dog/${dog}`} says="says.dog" change=${true} fields=${fields}
    first=${typedOf(fields, /** @type {Schema["KeptDog"]} */ (known.data))} call=${(/** @type {any} */ body) => ({ method: "PATCH", path: `/dogs/${dog}`, seen: true, body })} />`}<//>`;
}
