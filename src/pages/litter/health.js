// The health grid: each step of the plans for each pup, what was given and what is due; and one form that
// writes what was given to all of them, or to some. What the country calls for, and who got a batch, stand below.
import { html, useSignal, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Fold } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { queue } from "../parts/kept.js";
import { useAnswer, useAnswers } from "../parts/read.js";
import { Recall } from "../parts/recall.js";
import { Shown } from "../parts/states.js";
import { Cautions } from "../parts/cautions.js";
import { dayOf, localAt, momentOf, shortDate, t } from "../parts/texts.js";
import { wrote } from "../parts/undo.js";
import { Regional } from "./regional.js";
import { rowsOf } from "./steps.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {Schema["KeptBirth"]} Birth */
/** @typedef {import("./steps.js").Row} Row */

const OPEN = ["late", "due", "upcoming"];
/** Shape beside the word. @type {Record<string, string>} */
const MARK = { done: "✓", late: "◆", due: "●", upcoming: "○", too_early: "", unknown: "?" };
/** Steps further off than this are folded away. */
const AHEAD_DAYS = 35;

/** @typedef {Birth & { label: string }} Labelled */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: string, pups: Labelled[] }} props */
export function Health({ kennel, litter, pups }) {
  const dogs = pups.map((pup) => pup.dog_id);
  const schedules = useAnswers("/v1/kennels/{kennel_id}/dogs/{dog_id}/schedule", dogs.map((dog_id) => ({ kennel_id: kennel.kennel_id, dog_id })));
  const [giving, setGiving] = useState("");
  const [all, setAll] = useState(false);
  return html`<section aria-labelledby="health"><h2 id="health">${t("litter.health")}</h2>
    <${Shown} answers=${schedules}>${() => {
      const rows = rowsOf(dogs, schedules.map((one) => one.data?.steps));
      const until = dayOf(now() + AHEAD_DAYS * 86_400_000);
      const near = rows.filter((row) => all || (row.step.ideal_on ?? "9") <= until || Object.values(row.pups).some((step) => OPEN.includes(step.status)));
      const row = rows.find((one) => one.key === giving);
      const cautions = schedules.flatMap((one) => one.data?.cautions ?? []);
      return html`
        ${row && html`<${Give} key=${row.key} kennel=${kennel.kennel_id} row=${row} pups=${pups} back=${() => setGiving("")} />`}
        <${Grid} rows=${near} pups=${pups} give=${writes(kennel.role) ? setGiving : undefined} />
        ${near.length < rows.length && html`<button onClick=${() => setAll(true)}>${t("litter.later_steps", { count: rows.length - near.length })}</button>`}
        <${Cautions} cautions=${cautions.filter((one, place) => cautions.findIndex((other) => other.what === one.what) === place)} />
        <${Fold} label=${t("litter.step_sources")}><ul class="lines-of">${near.map((one) => html`<li key=${one.key}>${one.step.name}: <span lang="en">${one.step.source}</span></li>`)}</ul><//>`;
    }}<//>
    <${Fold} label=${t("regional.title")}><${Regional} kennel=${kennel} litter=${litter} /><//>
    <${Fold} label=${t("recall.title")}><${Batches} kennel=${kennel.kennel_id} dogs=${dogs} /><//></section>`;
}

/** Batches that these pups got, to tap when one is called back. @param {{ kennel: string, dogs: string[] }} props */
function Batches({ kennel, dogs }) {
  const events = useAnswer("/v1/kennels/{kennel_id}/health-events", { kennel_id: kennel });
  const batches = (events.data?.items ?? []).filter((event) => dogs.includes(event.dog_id)).flatMap(({ batch }) => batch ?? []);
  return html`<${Recall} kennel=${kennel} batches=${[...new Set(batches)]} />`;
}

/** @param {{ rows: Row[], pups: Labelled[], give: ((key: string) => void) | undefined }} props */
function Grid({ rows, pups, give }) {
  const items = useSignal(queue.items);
  const kept = (/** @type {string} */ dog, /** @type {Schema["DueStep"]} */ step) =>
    items.find(({ row }) => row?.kind === "health_event" && row.subject_id === dog && row.record["step"] === step.step);
  return html`<div class="scrolls" role="region" tabindex="0" aria-label=${t("litter.grid")}><table class="grid">
    <thead><tr><th scope="col">${t("litter.step")}</th>${pups.map((pup) => html`<th scope="col" key=${pup.dog_id}>${pup.label}</th>`)}</tr></thead>
    <tbody>${rows.map((row) => html`<tr key=${row.key}>
      <th scope="row"><span>${row.step.name}</span>${row.step.optional && html` <small>${t("litter.optional")}</small>`}
        ${give && Object.values(row.pups).some((step) => OPEN.includes(step.status)) && html`<br /><button onClick=${() => give(row.key)}>${t("litter.give")}</button>`}</th>
      ${pups.map(({ dog_id: dog }) => {
        const step = row.pups[dog];
        if (!step) return html`<td key=${dog}>–</td>`;
        const waits = OPEN.includes(step.status) ? kept(dog, step) : undefined;
        return html`<td key=${dog} data-state=${waits ? "done" : step.status}>${waits ? `✓ ${t(`mark.${waits.state}`)}` : cell(step)}</td>`;
      })}</tr>`)}</tbody>
  </table></div>`;
}

/** @param {Schema["DueStep"]} step */
function cell(step) {
  const mark = MARK[step.status] ?? "";
  if (step.given_on) return `${mark} ${shortDate(step.given_on)}`;
  if (step.status === "late") return `${mark} ${t("litter.late", { count: step.late_days ?? 0 })}`;
  if (step.status === "due") return `${mark} ${step.latest_on ? t("litter.due_till", { day: shortDate(step.latest_on) }) : t("litter.is_due")}`;
  if (step.ideal_on) return `${mark} ${shortDate(step.ideal_on)}`;
  return html`<span>${step.lacks ?? "?"}</span>`;
}

/** @param {{ kennel: string, row: Row, pups: Labelled[], back: () => void }} props */
function Give({ kennel, row, pups, back }) {
  const open = pups.filter((pup) => OPEN.includes(row.pups[pup.dog_id]?.status ?? ""));
  const [off, setOff] = useState(/** @type {string[]} */ ([]));
  const [typed, setTyped] = useState({ product: "", batch: "", given_at: localAt(now()), note: "" });
  const to = open.filter((pup) => !off.includes(pup.dog_id));
  const set = (/** @type {keyof typeof typed} */ name) => (/** @type {any} */ event) => { const { value } = event.target; setTyped((was) => ({ ...was, [name]: value })); };
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const { kind, series, step } = row.step;
    const told = Object.fromEntries(["product", "batch", "note"].map((name) => [name, typed[/** @type {"note"} */ (name)].trim()]).filter(([, text]) => text));
    const record = { kind, series, step, given_at: new Date(momentOf(typed.given_at)).toISOString(), ...told };
    const items = to.map(({ dog_id }) => queue.add({ kennel, says: "says.given",
      row: { kind: "health_event", subject_id: dog_id, record: { ...record, dog_id } } }));
    wrote(t("litter.given_to", { count: to.length }), items);
    back();
  };
  return html`<form class="panel fields" aria-label=${row.step.name} onSubmit=${send}>
    <h3>${row.step.name}</h3>
    <fieldset><legend>${t("litter.to")}</legend><div class="ticks">${open.map((pup) => html`<label key=${pup.dog_id}>
      <input type="checkbox" checked=${!off.includes(pup.dog_id)} onChange=${(/** @type {any} */ event) =>
        setOff(event.target.checked ? off.filter((one) => one !== pup.dog_id) : [...off, pup.dog_id])} /> ${pup.label}</label>`)}</div></fieldset>
    ${/** @type {const} */ (["product", "batch", "note"]).map((name) => html`<label>${t(`litter.${name}`)}<input value=${typed[name]} autocomplete="off" onInput=${set(name)} /></label>`)}
    <label>${t("litter.given_at")}<input type="datetime-local" required value=${typed.given_at} onInput=${set("given_at")} /></label>
    <p class="hint">${t("litter.vet_decides")}</p>
    <div class="row"><button class="main" disabled=${to.length === 0}>${t("litter.give_to", { count: to.length })}</button><button type="button" onClick=${back}>${t("back")}</button></div>
  </form>`;
}
