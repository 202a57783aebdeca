// A pup is born: written with the second tap; what else is known of it is added to it, each by itself.
import { html, useState } from "../parts/html.js";
import { Collar } from "../parts/collars.js";
import { correct, undo } from "../parts/kept.js";
import { t, time } from "../parts/texts.js";
import { weightTyping } from "../parts/units.js";
import { LookOver } from "../newborns/look.js";
import { nameOf } from "./choices.js";

/** @param {{ born: (fields: Record<string, any>) => void, at: number, back: () => void }} props */
export function Born({ born, at, back }) {
  return html`<section class="panel" aria-label=${t("event.birth")}>
    <h2>${t("birth.at", { at: time(at) })}</h2>
    <div class="taps">
      <button class="main" onClick=${() => born({ sex: "female" })}>${t("birth.female")}</button>
      <button class="main" onClick=${() => born({ sex: "male" })}>${t("birth.male")}</button>
      <button onClick=${() => born({})}>${t("birth.later")}</button>
      <button onClick=${() => born({ outcome: "stillborn", collar: null })}>${t("birth.stillborn")}</button>
    </div>
    <button class="back" onClick=${back}>${t("back")}</button>
  </section>`;
}

/** Fields with a choice of values, in the order in which one looks. @type {[string, string[]][]} */
const CHOICES = [
  ["sex", ["female", "male"]],
  ["presentation", ["head_first", "tail_first"]],
  ["placenta", ["passed", "not_seen"]],
  ["outcome", ["alive", "stillborn"]],
];

/**
 * One line of the log, to add to, correct or take back.
 * @param {{ line: import("./record.js").Line, kennel: string, litter: string, back: () => void, look?: () => void }} props `look`: has it looked over
 */
export function Pup({ line, kennel, litter, back, look }) {
  const { record } = line;
  const item = line.item ?? {
    id: line.id, person: "", kennel, at: line.at, state: /** @type {const} */ ("kept"), tried: true, why: [], says: "",
    row: { id: line.id, kind: line.kind, subject_id: litter, record },
  };
  const set = (/** @type {Record<string, any>} */ fields) => correct(item, fields);
  const typing = weightTyping();
  const remove = () => {
    undo(item);
    back();
  };
  const title = line.kind === "birth" ? t("birth.at", { at: time(line.at) }) : `${time(line.at)} ${t(nameOf(record["event"]))}`;
  return html`<section class="panel" aria-label=${title}>
    <h2>${title}</h2>
    ${line.kind === "birth" && html`
      <p><${Collar} name=${record["collar"]} /></p>
      ${CHOICES.map(([field, values]) => html`<fieldset key=${field}><legend>${t(`birth.${field}`)}</legend><div class="row">
        ${values.map((value) => html`<button aria-pressed=${record[field] === value} onClick=${() => set({ [field]: value })}>${t(`birth.${value}`)}</button>`)}
      </div></fieldset>`)}
      <${Field} key=${typing.unit} label=${t("birth.weight", { unit: typing.unit })} value=${record["weight_g"] && typing.typed(record["weight_g"])} figure=${true}
        keep=${(/** @type {number} */ typed) => set({ weight_g: typing.kept(typed) })} />
      <${Field} label=${t("birth.collar")} value=${record["collar"]} keep=${(/** @type {string} */ collar) => set({ collar })} />
      ${look && record["outcome"] === "alive" && record["dog_id"] && html`<button onClick=${look}>${t("newborns.look")}</button>`}`}
    <div class="deeds">
      <button class="main" onClick=${back}>${t("done")}</button>
      <button onClick=${remove}>${t("birth.remove")}</button>
    </div>
  </section>`;
}

/**
 * The look over a pup, in its panel. It stands by the pup and not by its line: between being sent and being read again a
 * line is for a moment in neither list.
 * @param {{ line: import("./record.js").Line, kennel: string, litter: string, done: () => void }} props
 */
export function Looking({ line, kennel, litter, done }) {
  const title = t("birth.at", { at: time(line.at) });
  return html`<section class="panel" aria-label=${title}><h2 class="row">${title} <${Collar} name=${line.record["collar"]} /></h2>
    <${LookOver} kennel=${kennel} litter=${litter} dog=${line.record["dog_id"]} done=${done} /></section>`;
}

/** @param {{ label: string, value: any, figure?: boolean, keep: (value: any) => void }} props */
function Field({ label, value, figure, keep }) {
  const [text, setText] = useState(value === null || value === undefined ? "" : String(value));
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const words = text.trim();
    if (words === "" || words === String(value ?? "")) return;
    if (!figure) keep(words);
    else if (Number.isFinite(Number(words.replace(",", ".")))) keep(Number(words.replace(",", ".")));
  };
  return html`<form class="row" onSubmit=${send}><label>${label}
    <input inputmode=${figure ? "numeric" : "text"} autocomplete="off" value=${text} onBlur=${send}
      onInput=${(/** @type {any} */ event) => setText(event.target.value)} /></label></form>`;
}
