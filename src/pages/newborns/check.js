// How a pup is: whether it sucks, and signs of illness.
import { html, useState } from "../parts/html.js";
import { queue } from "../parts/kept.js";
import { t } from "../parts/texts.js";
import { wrote } from "../parts/undo.js";

const SIGNS = ["weak", "limp", "cold", "not_sucking", "crying", "blue", "gasping", "bloated", "diarrhoea", "vomiting", "dehydrated", "navel", "fits"];

/** @param {{ kennel: string, dog: string, done: () => void }} props */
export function Check({ kennel, dog, done }) {
  const [nurses, setNurses] = useState(/** @type {boolean | undefined} */ (undefined));
  const [signs, setSigns] = useState(/** @type {string[]} */ ([]));
  const [note, setNote] = useState("");
  const sign = (/** @type {string} */ one) => setSigns((was) => (was.includes(one) ? was.filter((each) => each !== one) : [...was, one]));
  const suck = (/** @type {boolean} */ value, /** @type {string} */ words) => html`<button type="button" aria-pressed=${nurses === value}
    onClick=${() => setNurses(nurses === value ? undefined : value)}>${words}</button>`;
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const words = note.trim();
    const item = queue.add({ kennel, says: "says.pup_check", row: { kind: "pup_check", subject_id: dog,
      record: { checked_at: new Date().toISOString(), signs, ...(nurses === undefined ? {} : { nurses }), ...(words ? { note: words } : {}) } } });
    wrote(t("says.pup_check"), [item]);
    done();
  };
  return html`<form class="fields" onSubmit=${send}>
    <fieldset><legend>${t("newborns.sucks_q")}</legend><div class="row">${suck(true, t("newborns.sucks"))}${suck(false, t("newborns.sucks_not"))}</div></fieldset>
    <fieldset><legend>${t("newborns.signs")}</legend><div class="row">${SIGNS.map((one) =>
      html`<button type="button" key=${one} aria-pressed=${signs.includes(one)} onClick=${() => sign(one)}>${t(`pup_sign.${one}`)}</button>`)}</div></fieldset>
    <label>${t("event.note")}<input autocomplete="off" maxlength="10000" value=${note} onInput=${(/** @type {any} */ event) => setNote(event.target.value)} /></label>
    <div class="row"><button class="main">${signs.length > 0 ? t("newborns.keep_signs", { count: signs.length }) : t("newborns.keep_well")}</button>
      <button type="button" onClick=${done}>${t("back")}</button></div>
  </form>`;
}
