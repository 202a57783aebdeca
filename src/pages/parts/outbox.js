// What waits to be sent and what was refused: why, and mend it here or drop it. And the question before
// signing out with something kept.
import { html, useSignal, useState } from "./html.js";
import { session } from "./api.js";
import { now } from "./clock.js";
import { queue } from "./kept.js";
import { asked, leave } from "./leave.js";
import { isQuestion } from "./queue.js";
import { moment, t } from "./texts.js";

/** @typedef {import("./queue.js").Item} Item */
/** Figures that can be mended where they are refused. */
const FIGURES = /** @type {Record<string, string>} */ ({
  weight: "weight_g", temperature: "temperature_c", feed: "volume_ml", birth: "weight_g",
});

export function Outbox() {
  const items = useSignal(queue.items);
  const [open, setOpen] = useState(false);
  const leaving = useSignal(asked);
  const refused = items.filter((item) => item.state === "refused");
  const kept = items.length - refused.length;
  if (!useSignal(session).who) return null;
  return html`<section class=${`outbox ${refused.length > 0 ? "has-refused" : ""}`} aria-label=${t("outbox.label")} data-testid="outbox">
    <p class="sum" role="status">
      ${items.length === 0 ? t("outbox.all_sent") : ""}
      ${kept > 0 ? t("outbox.kept", { count: kept }) : ""}
      ${refused.length > 0 ? html` <strong>${t("outbox.refused", { count: refused.length })}</strong>` : ""}
      ${items.length > 0 && html` <button aria-expanded=${open} onClick=${() => setOpen(!open)}>${open ? t("outbox.close") : t("outbox.show")}</button>`}
    </p>
    ${leaving && html`<div class="state" role="alert"><p>${leaving.failed ? t("leave.failed") : t("leave.kept", { count: leaving.count })}</p>
      <button onClick=${() => leave(leaving.everywhere, true)}>${t("leave.sure")}</button>
      <button onClick=${() => { asked.value = undefined; }}>${t("leave.stay")}</button></div>`}
    ${(open || refused.length > 0) && html`<ul>
      ${(open ? items : refused).map((item) => html`<${One} key=${item.id} item=${item} />`)}</ul>`}
  </section>`;
}

/** @param {{ item: Item }} props */
function One({ item }) {
  const field = item.row && FIGURES[item.row.kind];
  const figure = field && item.row?.record[field];
  const [text, setText] = useState(String(figure ?? ""));
  const mend = (/** @type {Event} */ event) => {
    event.preventDefault();
    const value = Number(text.replace(",", "."));
    if (field && Number.isFinite(value) && text.trim() !== "") queue.mend(item.id, { [field]: value, confirmed: false });
  };
  return html`<li data-state=${item.state}>
    <p>${t(item.says)}${figure === undefined ? "" : ` ${figure}`} · ${moment(item.at, now())} · ${t(`outbox.state.${item.state}`)}</p>
    ${item.state === "refused" && html`${item.why.map((fault) => html`<p class="why">${fault.detail}</p>`)}
      <div class="deeds">
        ${isQuestion(item) && html`<button onClick=${() => queue.mend(item.id, { confirmed: true })}>${t("outbox.meant")}</button>`}
        ${figure !== undefined && html`<form onSubmit=${mend}><label>${t("outbox.figure")}
          <input inputmode="decimal" value=${text} onInput=${(/** @type {any} */ e) => setText(e.target.value)} /></label>
          <button>${t("outbox.mend")}</button></form>`}
        ${figure === undefined && wrong(item).map((name) => html`<${Mend} key=${name} item=${item} name=${name} />`)}
        <button onClick=${() => queue.takeBack(item.id)}>${t("outbox.drop")}</button>
      </div>`}
  </li>`;
}

/** The fields of what was written that its refusal names. @param {Item} item @returns {string[]} */
function wrong(item) {
  const body = written(item);
  const named = item.why.map((fault) => fault.pointer.replace(/^\/record(?=\/)/, "").split("/")[1] ?? "");
  return [...new Set(named)].filter((name) => ["string", "number"].includes(typeof body[name]));
}

/** What was written, as a request or as an observation. @param {Item} item @returns {Record<string, any>} */
const written = (item) => item.call?.body ?? item.row?.record ?? {};

/** @param {{ item: Item, name: string }} props */
function Mend({ item, name }) {
  const before = written(item)[name];
  const [text, setText] = useState(String(before));
  const mend = (/** @type {Event} */ event) => {
    event.preventDefault();
    queue.mend(item.id, { [name]: typeof before === "number" ? Number(text.replace(",", ".")) : text });
  };
  return html`<form onSubmit=${mend}><label lang="en">${name.replace(/_/g, " ")}
    <input autocomplete="off" value=${text} onInput=${(/** @type {any} */ event) => setText(event.target.value)} /></label><button>${t("outbox.mend")}</button></form>`;
}
