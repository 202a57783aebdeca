// A new owner tells the kennel how the dog is, by the booklet's link and without a login; and what became of it.
import { html, useEffect, useState } from "../parts/html.js";
import { Trouble, openly } from "../parts/api.js";
import { Fold, OneField, isOf } from "../parts/form.js";
import { newsOf } from "../parts/news.js";
import { fullDate, t } from "../parts/texts.js";
import { recordOf } from "../parts/typed.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/form.js").Field} Field */
/** @typedef {import("../parts/form.js").Fault} Fault */
const KINDS = ["illness", "test", "examination", "treatment", "vaccination", "other"];

/** @param {{ path: string }} props `path`: of the booklet */
export function Report({ path }) {
  const [told, setTold] = useState(/** @type {Schema["SharedReport"][]} */ ([]));
  const read = async () => {
    try {
      setTold((await openly(`${path}/reports?limit=100`)).items);
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
    }
  };
  useEffect(() => { read(); }, [path]);
  const back = async (/** @type {string} */ id) => {
    await openly(`${path}/reports/${id}`, { method: "DELETE" }).catch(() => {});
    await read();
  };
  return html`<section aria-labelledby="report"><h2 id="report">${t("report.title")}</h2>
    <${Fold} label=${t("report.tell")}><${Telling} path=${path} done=${read} /><//>
    <ul class="lines-of">${[...told].reverse().map((one) => html`<li key=${one.id}><p><strong>${fullDate(one.created_at.slice(0, 10))}</strong> · ${t(`report_status.${one.status}`)}${one.decided_on ? `, ${fullDate(one.decided_on)}` : ""}</p>
      <ul>${newsOf(one.news).map((line) => html`<li>${line}</li>`)}</ul>
      ${one.refusal_reason && html`<p>${t("report.refused")} <span>${one.refusal_reason}</span></p>`}
      ${one.status === "waiting" && html`<button onClick=${() => back(one.id)}>${t("report.back")}</button>`}</li>`)}</ul></section>`;
}

/** Fields of one thing that happened to its health; the pointer of a fault names it by its place. @param {number} place @returns {Field[]} */
const ofHealth = (place) => [
  { name: `health/${place}/kind`, label: t("report.kind"), kind: "choice", required: true, options: KINDS.map((kind) => [kind, t(`told.${kind}`)]) },
  { name: `health/${place}/happened_on`, label: t("report.happened_on"), kind: "date", required: true },
  { name: `health/${place}/finding`, label: t("report.finding"), required: true },
];

/** @param {{ path: string, done: () => void }} props */
function Telling({ path, done }) {
  const [typed, setTyped] = useState(/** @type {Record<string, any>} */ ({}));
  const [health, setHealth] = useState(0);
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const [says, setSays] = useState("");
  const [busy, setBusy] = useState(false);
  const plain = /** @type {Field[]} */ ([
    { name: "weight_g", label: t("report.weight"), kind: "number" },
    { name: "full_grown", label: t("report.full_grown"), kind: "check" },
    { name: "observed_on", label: t("report.observed_on"), kind: "date", hint: t("report.observed_hint") },
    { name: "temperament", label: t("report.temperament"), kind: "lines" },
    { name: "colour", label: t("news.colour") },
    { name: "message", label: t("report.message"), kind: "lines" },
  ]);
  const rows = Array.from({ length: health }, (_, place) => ofHealth(place));
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const record = recordOf(plain, typed);
    // Typed in kilograms, as a grown dog is weighed; kept in whole grams.
    if (record["weight_g"] !== undefined) record["weight_g"] = Math.round(record["weight_g"] * 1000);
    const told = rows.map((fields) => Object.fromEntries(Object.entries(recordOf(fields, typed)).map(([name, value]) => [name.split("/").pop(), value])));
    setBusy(true);
    setFaults([]);
    try {
      await openly(`${path}/reports`, { method: "POST", body: { ...record, ...(told.length > 0 ? { health: told } : {}) } });
      setTyped({});
      setHealth(0);
      setSays(t("report.sent"));
      done();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setSays("");
      setFaults(error.errors.length > 0 ? error.errors : [{ pointer: "", detail: error.status === 0 ? t("paper.offline") : error.message }]);
    }
    setBusy(false);
  };
  const all = [...plain, ...rows.flat()];
  const other = faults.filter((fault) => !all.some((field) => isOf(fault, field)));
  const one = (/** @type {Field} */ field) => html`<${OneField} key=${field.name} field=${field} form="report" value=${typed[field.name] ?? ""}
    set=${(/** @type {any} */ value) => setTyped((was) => ({ ...was, [field.name]: value }))} faults=${faults.filter((fault) => isOf(fault, field))} />`;
  return html`<form class="fields" onSubmit=${send}><p>${t("report.how")}</p>
    ${plain.map(one)}
    ${rows.map((fields, place) => html`<fieldset key=${place}><legend>${t("report.health", { number: place + 1 })}</legend>${fields.map(one)}</fieldset>`)}
    <div class="row"><button type="button" onClick=${() => setHealth(health + 1)}>${t("report.more")}</button></div>
    ${other.length > 0 && html`<div class="warn" role="alert">${other.map((fault) => html`<p>${fault.detail}</p>`)}</div>`}
    <div class="row"><button class="main" disabled=${busy}>${t("report.send")}</button></div>
    <p class="told" role="status">${says}</p></form>`;
}
