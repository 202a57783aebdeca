// A batch that is called back: who got it, where they are, and whom to tell.
import { html, useState } from "./html.js";
import { useAnswer } from "./read.js";
import { Shown } from "./states.js";
import { fullDate, t } from "./texts.js";
import "./record.js";

/** @typedef {import("./types.d.ts").Schema} Schema */

/** @param {{ kennel: string, batches?: string[] }} props `batches`: those at hand, to tap */
export function Recall({ kennel, batches = [] }) {
  const [typed, setTyped] = useState({ batch: "", product: "" });
  const [asked, setAsked] = useState("");
  const ask = (/** @type {string} */ batch, /** @type {string} */ product) => setAsked(batch.trim()
    ? `?batch=${encodeURIComponent(batch.trim())}${product.trim() ? `&product=${encodeURIComponent(product.trim())}` : ""}` : "");
  const set = (/** @type {keyof typeof typed} */ name) => (/** @type {any} */ event) => { const { value } = event.target; setTyped((was) => ({ ...was, [name]: value })); };
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    ask(typed.batch, typed.product);
  };
  return html`<div class="recall"><p>${t("recall.how")}</p>
    ${batches.length > 0 && html`<div class="row" role="group" aria-label=${t("recall.given")}>${batches.map((batch) => html`<button type="button" key=${batch} onClick=${() => {
      setTyped({ batch, product: "" });
      ask(batch, "");
    }}>${batch}</button>`)}</div>`}
    <form class="fields" onSubmit=${submit}>
      <label>${t("recall.batch")}<input required maxlength="100" autocomplete="off" value=${typed.batch} onInput=${set("batch")} /></label>
      <label>${t("recall.product")}<input maxlength="200" autocomplete="off" value=${typed.product} onInput=${set("product")} /></label>
      <button class="main">${t("recall.ask")}</button></form>
    ${asked && html`<${Found} key=${asked} kennel=${kennel} query=${asked} />`}</div>`;
}

/** @param {{ kennel: string, query: string }} props */
function Found({ kennel, query }) {
  const found = useAnswer("/v1/kennels/{kennel_id}/batch-recall", { kennel_id: kennel }, query);
  return html`<${Shown} answers=${[found]}>${() => {
    const recall = /** @type {Schema["BatchRecall"]} */ (found.data);
    return html`<p role="status"><strong>${t("recall.dogs", { count: recall.dogs, batch: recall.batch })}</strong></p>
      <ul class="lines-of">${recall.doses.map((dose) => html`<li key=${dose.event_id}><p><strong>${dose.dog_name ?? t("dog.elsewhere")}</strong> · ${t(`whereabouts.${dose.whereabouts}`)}${dose.chip_number ? ` · ${dose.chip_number}` : ""}</p>
        <p>${[fullDate(dose.given_on), dose.product, dose.batch, dose.given_by].filter(Boolean).join(" · ")}</p>
        ${dose.buyer_id && html`<${Owner} kennel=${kennel} buyer=${dose.buyer_id} />`}</li>`)}</ul>
      ${recall.without_batch > 0 && html`<p class="warn">${t("recall.without", { count: recall.without_batch })}</p>`}`;
  }}<//>`;
}

/** Whom to tell. @param {{ kennel: string, buyer: string }} props */
function Owner({ kennel, buyer }) {
  const all = useAnswer("/v1/kennels/{kennel_id}/buyers", { kennel_id: kennel }, "?limit=500");
  const one = all.data?.items.find(({ id }) => id === buyer);
  return one ? html`<p>${one.name} ${one.phone && html`<a class="button" href=${`tel:${one.phone.replace(/[^+\d]/g, "")}`}>${one.phone}</a>`}
    ${one.email && html`<a class="button" href=${`mailto:${one.email}`}>${one.email}</a>`}</p>` : null;
}
