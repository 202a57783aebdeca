// The look over a pup before its first feed: all as it should be with one tap, or what is not is tapped first.
import { html, useState } from "../parts/html.js";
import { Fold } from "../parts/form.js";
import { queue } from "../parts/kept.js";
import { useAnswer } from "../parts/read.js";
import { learn, t } from "../parts/texts.js";
import { wrote } from "../parts/undo.js";
import en from "../texts/en/newborns.js";
import de from "../texts/de/newborns.js";
import { ITEMS, examOf, tapped, wrongIn } from "./exam.js";

learn({ en, de });

/** @typedef {import("./exam.js").Found} Found */
/** Shape beside the word. */
const MARK = { abnormal: "✗", left: "–" };

/** @param {{ kennel: string, litter: string, dog: string, done: () => void }} props */
export function LookOver({ kennel, litter, dog, done }) {
  const [found, setFound] = useState(/** @type {Found} */ ({}));
  const [note, setNote] = useState("");
  const wrong = wrongIn(found);
  const looked = Object.keys(examOf(found)).length;
  const send = () => {
    const words = note.trim();
    const item = queue.add({ kennel, says: "says.pup_check", row: { kind: "pup_check", subject_id: dog,
      record: { checked_at: new Date().toISOString(), exam: examOf(found), ...(words ? { note: words } : {}) } } });
    wrote(t("says.pup_check"), [item]);
    done();
  };
  const isTouched = looked < ITEMS.length || wrong > 0;
  return html`<div class="look-over">
    ${!isTouched && html`<button type="button" class="main" onClick=${send}>${t("newborns.all_fine")}</button>`}
    <p>${t("newborns.look_how")}</p>
    <div class="taps">${ITEMS.map((item) => {
      const state = found[item];
      return html`<button type="button" key=${item} data-found=${state ?? "normal"} onClick=${() => setFound((was) => tapped(was, item))}>
        ${state ? `${MARK[state]} ` : ""}${t(`exam.${item}`)}${state ? `: ${t(`exam_found.${state}`)}` : ""}</button>`;
    })}</div>
    ${wrong > 0 && html`<label>${t("event.note")}<textarea rows="2" maxlength="10000" value=${note} onInput=${(/** @type {any} */ event) => setNote(event.target.value)}></textarea></label>`}
    <div class="row">${isTouched && html`<button type="button" class="main" disabled=${looked === 0} onClick=${send}>
        ${wrong > 0 ? t("newborns.keep_found", { count: wrong }) : t("newborns.keep_looked", { count: looked })}</button>`}
      <button type="button" onClick=${done}>${t("back")}</button></div>
    <${Fold} label=${t("newborns.how")}><${How} kennel=${kennel} litter=${litter} /><//></div>`;
}

/** How one looks at each place, in the service's words. @param {{ kennel: string, litter: string }} props */
function How({ kennel, litter }) {
  const round = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/newborns", { kennel_id: kennel, litter_id: litter });
  return html`<ul class="lines-of">${(round.data?.questions ?? []).map((one) => html`<li key=${one.item}><p><strong>${t(`exam.${one.item}`)}</strong>${one.before_first_feed ? ` · ${t("newborns.first")}` : ""}</p>
    <p>${one.how}</p><p class="hint">${t("banner.source")} <span lang="en">${one.source}</span></p></li>`)}</ul>`;
}
