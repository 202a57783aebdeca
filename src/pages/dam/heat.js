// The diary of her heats: readings, and what they say about the days to test and to mate.
import { html, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Cautions } from "../parts/cautions.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { dayOf, fullDate, localAt, moment, number, shortDate, t } from "../parts/texts.js";
import { WOMB_SIGNS, Womb } from "./womb.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/types.d.ts").MyKennel} Kennel */
/** What a reading of each kind asks for: words that the service knows, or a figure. */
const READINGS = /** @type {Record<string, { findings?: string[], units?: string[] }>} */ ({
  progesterone: { units: ["ng_per_ml", "nmol_per_l"] },
  lh: { findings: ["surge", "no_surge"], units: ["ng_per_ml"] },
  cytology: { findings: ["first_day_of_dioestrus"], units: ["cornified_fraction"] },
  sign: { findings: ["bleeding", "swelling", "flagging", "standing", "refusing", "ovulation"] },
});

/** @param {{ kennel: Kennel, dog: string }} props */
export function Heats({ kennel, dog }) {
  const heats = useAnswer("/v1/kennels/{kennel_id}/heats", { kennel_id: kennel.kennel_id }, `?dog_id=${dog}&limit=100`);
  return html`<section aria-labelledby="heats"><h2 id="heats">${t("heat.title")}</h2>
    <${Shown} answers=${[heats]}>${() => {
      const [last, ...earlier] = [...(heats.data?.items ?? [])].sort((a, b) => b.began_on.localeCompare(a.began_on));
      return html`${last ? html`<${Heat} key=${last.id} kennel=${kennel} heat=${last} isLast=${true} />` : html`<p>${t("heat.none")}</p>`}
        ${writes(kennel.role) && html`<${Fold} label=${t("heat.add")}><${Form} kennel=${kennel.kennel_id} draft=${`heat/${dog}`} says="says.heat"
          fields=${[{ name: "began_on", label: t("heat.began_on"), kind: "date", required: true }, { name: "note", label: t("event.note"), kind: "lines" }]}
          first=${{ began_on: dayOf(now()) }}
          call=${(/** @type {any} */ body) => ({ method: "POST", path: "/heats", body: { ...body, dog_id: dog } })} /><//>`}
        ${earlier.length > 0 && html`<${Fold} label=${t("heat.earlier", { count: earlier.length })}>${earlier.map((heat) =>
          html`<${Heat} key=${heat.id} kennel=${kennel} heat=${heat} isLast=${false} />`)}<//>`}`;
    }}<//></section>`;
}

/** @param {{ kennel: Kennel, heat: Schema["KeptHeat"], isLast: boolean }} props */
function Heat({ kennel, heat, isLast }) {
  const at = { kennel_id: kennel.kennel_id, heat_id: heat.id };
  const readings = useAnswer("/v1/kennels/{kennel_id}/heats/{heat_id}/readings", at, "?limit=200");
  const end = /** @type {import("../parts/form.js").Field[]} */ ([{ name: "ended_on", label: t("heat.ended_on"), kind: "date", required: true }]);
  return html`<div class="heat">
    <p><strong>${heat.ended_on ? t("heat.from_to", { from: fullDate(heat.began_on), to: fullDate(heat.ended_on) }) : t("heat.since", { from: fullDate(heat.began_on) })}</strong></p>
    ${heat.note && html`<p>${heat.note}</p>`}
    ${isLast && html`<${Womb} kennel=${kennel} heat=${heat.id} /><${Timing} at=${at} />`}
    <${Shown} answers=${[readings]}>${() => html`<ul class="lines-of">${readings.data?.items.map((one) => html`<li key=${one.id}><${Reading} one=${one} /></li>`)}</ul>`}<//>
    ${isLast && writes(kennel.role) && html`<${AddReading} kennel=${kennel.kennel_id} heat=${heat.id} />
      ${!heat.ended_on && html`<${Fold} label=${t("heat.end")}><${Form} kennel=${kennel.kennel_id} draft=${`heat-end/${heat.id}`} says="says.heat" fields=${end}
        first=${{ ended_on: dayOf(now()) }}
        call=${(/** @type {any} */ body) => ({ method: "PATCH", path: `/heats/${heat.id}`, seen: true, body })} /><//>`}`}
  </div>`;
}

/** @param {{ one: Schema["KeptHeatReading"] }} props */
function Reading({ one }) {
  const known = one.finding && [...WOMB_SIGNS, ...Object.values(READINGS).flatMap(({ findings }) => findings ?? [])].includes(one.finding);
  const said = [typeof one.value === "number" ? `${number(one.value, 1)} ${one.unit ? t(`unit.${one.unit}`) : ""}` : "",
    one.finding ? (known ? t(`finding.${one.finding}`) : one.finding) : ""].filter(Boolean).join(" · ");
  return html`<strong>${moment(one.taken_at, now())}</strong> ${t(`reading.${one.kind}`)}: ${said}${one.note ? ` (${one.note})` : ""}`;
}

/** @param {{ kennel: string, heat: string }} props */
function AddReading({ kennel, heat }) {
  const [kind, setKind] = useState("progesterone");
  const { findings, units } = READINGS[kind] ?? {};
  const words = (/** @type {string} */ group, /** @type {string[]} */ all) => all.map((one) => /** @type {[string, string]} */ ([one, t(`${group}.${one}`)]));
  const fields = /** @type {import("../parts/form.js").Field[]} */ ([
    { name: "taken_at", label: t("reading.taken_at"), kind: "moment", required: true },
    ...(findings ? [{ name: "finding", label: t("reading.finding"), kind: "choice", required: !units, options: words("finding", findings) }] : []),
    ...(units ? [{ name: "value", label: t("reading.value"), kind: "number", required: !findings },
      { name: "unit", label: t("reading.unit"), kind: "choice", required: !findings, options: words("unit", units) }] : []),
    { name: "note", label: t("event.note") },
  ]);
  return html`<${Fold} label=${t("reading.add")}>
    <div class="row" role="group" aria-label=${t("reading.kind")}>${Object.keys(READINGS).map((one) =>
      html`<button aria-pressed=${one === kind} onClick=${() => setKind(one)}>${t(`reading.${one}`)}</button>`)}</div>
    <${Form} key=${kind} kennel=${kennel} draft=${`reading/${heat}/${kind}`} says="says.reading" fields=${fields}
      first=${{ taken_at: localAt(now()), ...(units?.length === 1 && !findings ? { unit: units[0] } : {}) }}
      row=${(/** @type {any} */ record) => ({ kind: "heat_reading", subject_id: heat, record: { ...record, kind } })} /><//>`;
}

/** What the readings say. @param {{ at: { kennel_id: string, heat_id: string } }} props */
function Timing({ at }) {
  const report = useAnswer("/v1/kennels/{kennel_id}/heats/{heat_id}/timing", at);
  return html`<${Shown} answers=${[report]}>${() => {
    const { timing, over_on: over, left_out: leftOut, standing_line: line } = /** @type {Schema["HeatReport"]} */ (report.data);
    const about = (/** @type {string} */ key, /** @type {Schema["CycleMoment"] | null | undefined} */ one) => one && html`<li>
      <strong>${t(key)}:</strong> ${fullDate(one.likely_on)} ± ${number(one.sd_days, 1)} ${t("heat.days")} <span class="hint">${one.basis.join("; ")}</span></li>`;
    return html`${over && html`<p>${t("heat.over", { day: fullDate(over) })}</p>`}<${Cautions} cautions=${timing.cautions} /><ul class="lines-of">
      ${timing.next_test && html`<li><strong>${t("heat.next_test")}:</strong> ${fullDate(timing.next_test.due_on)} · <span>${timing.next_test.why}</span>
        <p class="hint">${t("banner.source")} <span lang="en">${timing.next_test.source}</span></p></li>`}
      ${timing.first_fertile_on && timing.last_fertile_on && html`<li><strong>${t("heat.fertile")}:</strong> ${t("dam.window", { earliest: fullDate(timing.first_fertile_on), latest: fullDate(timing.last_fertile_on) })}</li>`}
      ${timing.mating_days.map((days) => html`<li key=${days.method}><strong>${t(`method.${days.method}`)}${days.inseminations ? ` (${days.inseminations} ×)` : ""}:</strong> ${days.days.map(shortDate).join(", ")}
        ${days.note && html`<p>${days.note}</p>`}<p class="hint">${t("banner.source")} <span lang="en">${days.source}</span></p></li>`)}
      ${about("heat.lh_surge", timing.lh_surge)}${about("heat.ovulation", timing.ovulation)}
      ${timing.dioestrus_on && html`<li><strong>${t("heat.dioestrus")}:</strong> ${fullDate(timing.dioestrus_on)}</li>`}
      </ul>
      ${leftOut.length > 0 && html`<${Fold} label=${t("heat.left_out", { count: leftOut.length })}><ul class="lines-of">${leftOut.map((one) => html`<li>${one.evidence}: ${one.why}</li>`)}</ul><//>`}
      <p class="standing">${line}</p>`;
  }}<//>`;
}
