// Files that are on their way: how far they are, that they wait, or why they were not taken.
import { html, useSignal } from "../parts/html.js";
import { reached } from "../parts/api.js";
import { number, t } from "../parts/texts.js";
import { filesOut } from "./kept-files.js";

/** @typedef {import("./files-out.js").Sending} Sending */

/** @param {{ kennel: string }} props */
export function OnTheWay({ kennel }) {
  const items = useSignal(filesOut.items).filter((one) => one.kennel === kennel);
  const isReached = useSignal(reached);
  const kept = items.filter((one) => one.state === "kept").length;
  return html`<div class="on-the-way"><p role="status">${kept > 0 ? t(isReached ? "album.sending" : "album.waits", { count: kept }) : ""}</p>
    <ul>${items.map((one) => html`<li key=${one.id} data-state=${one.state}>${one.state === "kept" ? html`<${Progress} one=${one} />` : html`<${Refused} one=${one} />`}</li>`)}</ul></div>`;
}

const mb = (/** @type {number} */ bytes) => number(bytes / 1_048_576, 1);

/** @param {{ one: Sending }} props */
function Progress({ one }) {
  return html`<p>${t("album.progress", { name: one.name, sent: mb(one.offset), size: mb(one.size) })}</p>
    <progress max=${one.size} value=${one.offset} aria-label=${one.name}></progress>`;
}

/** @param {{ one: Sending }} props */
function Refused({ one }) {
  return html`<div class="warn" role="alert"><p>${t("album.refused", { name: one.name })}</p>${one.why.map((fault) => html`<p>${fault.detail}</p>`)}</div>
    <div class="row"><button onClick=${() => filesOut.drop(one.id)}>${t("album.drop")}</button></div>`;
}
