// What new owners tell of their dogs: it becomes record once it is accepted, or is refused with a reason that they read.
import { html } from "../parts/html.js";
import { Fold, Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, t } from "../parts/texts.js";
import { newsOf } from "../parts/news.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @typedef {import("./buyers.js").Known} Known */

/** @param {Known} known */
const useReports = (known) => useAnswer("/v1/kennels/{kennel_id}/buyer-reports", { kennel_id: known.kennel.kennel_id });

/** Those that wait for a decision, at the head of the page. @param {{ known: Known }} props */
export function Reports({ known }) {
  const waiting = (useReports(known).data?.items ?? []).filter((one) => one.status === "waiting");
  if (waiting.length === 0) return null;
  return html`<section aria-labelledby="reports"><h2 id="reports">${t("reports.title", { count: waiting.length })}</h2>
    <ul>${waiting.map((one) => html`<li class="card" key=${one.id}><${Waiting} known=${known} one=${one} /></li>`)}</ul></section>`;
}

/** @param {{ known: Known }} props */
export function Decided({ known }) {
  const all = useReports(known);
  return html`<${Shown} answers=${[all]}>${() => {
    const decided = (all.data?.items ?? []).filter((one) => one.status !== "waiting");
    return decided.length > 0 && html`<${Fold} label=${t("reports.decided", { count: decided.length })}><ul class="lines-of">${[...decided].reverse().map((one) => html`<li key=${one.id}>
      <p><strong>${known.pup(one.dog_id)} · ${known.buyer(one.buyer_id)}</strong> · ${t(`report_status.${one.status}`)}${one.decided_on ? `, ${fullDate(one.decided_on)}` : ""}</p>
      <${News} news=${one.news} />${one.refusal_reason && html`<p>${one.refusal_reason}</p>`}</li>`)}</ul><//>`;
  }}<//>`;
}

/** @param {{ known: Known, one: Schema["KeptBuyerReport"] }} props */
function Waiting({ known, one }) {
  const path = `/buyer-reports/${one.id}`;
  const parts = partsOf(one.news).map((part) => /** @type {[string, string]} */ ([part, t(`report_part.${part}`)]));
  return html`<h3>${known.pup(one.dog_id)} · ${known.buyer(one.buyer_id)}</h3>
    <p class="hint">${t("reports.told_on", { day: fullDate(one.created_at.slice(0, 10)) })}</p>
    <${News} news=${one.news} />
    <${Form} kennel=${known.kennel.kennel_id} draft=${`accept/${one.id}`} says="says.report" button=${t("reports.accept")}
      fields=${parts.length > 0 ? [{ name: "left_out", label: t("reports.left_out"), kind: "many", options: parts }] : []}
      call=${(/** @type {any} */ body) => ({ method: "POST", path: `${path}/acceptance`, body })} />
    <${Fold} label=${t("reports.refuse")}><${Form} kennel=${known.kennel.kennel_id} draft=${`refuse/${one.id}`} says="says.report" button=${t("reports.refuse")}
      fields=${[{ name: "reason", label: t("reports.reason"), kind: "lines", required: true }]}
      call=${(/** @type {any} */ body) => ({ method: "POST", path: `${path}/refusal`, body })} /><//>`;
}

/** What of a report would become record. @param {Schema["BuyerNews"]} news */
function partsOf(news) {
  const told = { weight: news.weight_g, adult_weight: news.full_grown, colour: news.colour, markings: news.markings, health: (news.health ?? []).length };
  return Object.entries(told).filter(([, value]) => value).map(([part]) => part);
}

/** @param {{ news: Schema["BuyerNews"] }} props */
const News = ({ news }) => html`<ul class="lines-of">${newsOf(news).map((line) => html`<li>${line}</li>`)}</ul>`;
