// Pictures and papers of a litter and its pups, or of a dog: added by camera or file, looked at by age, changed, and
// chosen for the new owner.
import { html, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { writes } from "../parts/kennel.js";
import { Paper } from "../parts/paper.js";
import { useAnswers } from "../parts/read.js";
import { Shown, State } from "../parts/states.js";
import { dayOf, fullDate, learn, t } from "../parts/texts.js";
import en from "../texts/en/album.js";
import de from "../texts/de/album.js";
import { ageOn, byAge } from "./ages.js";
import { OnTheWay } from "./on-the-way.js";
import { filesOut } from "./kept-files.js";
import { Change, Thumb, Whole } from "./picture.js";
import { PDF } from "./pictures.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
/** @typedef {import("../parts/types.d.ts").Schema["KeptAttachment"]} Kept */
/** What pictures and papers hang on. @typedef {{ field: "litter_id" | "dog_id" | "placement_id", id: string, label: string }} Subject */

/** What a browser offers to choose; the service looks at what comes. */
const TAKEN = "image/jpeg,image/png,image/webp,application/pdf";

/** @param {{ kennel: MyKennel, subjects: Subject[], born?: string | null | undefined }} props `born`: from when on ages are told */
export function Album({ kennel, subjects, born }) {
  const all = useAnswers("/v1/kennels/{kennel_id}/attachments", subjects.map(({ field, id }) => ({ kennel_id: kennel.kennel_id, field, id })), "?{field}={id}");
  const [of, setOf] = useState("");
  const chosen = subjects.filter((one) => !of || one.id === of);
  const label = (/** @type {Kept} */ one) => subjects.find(({ field, id }) => one[field] === id)?.label ?? "";
  return html`<div class="pictures">
    ${subjects.length > 1 && html`<label class="choice">${t("album.of")}
      <select value=${of} onChange=${(/** @type {any} */ event) => setOf(event.target.value)}><option value="">${t("album.all")}</option>
        ${subjects.map((one) => html`<option value=${one.id} selected=${one.id === of}>${one.label}</option>`)}</select></label>`}
    ${writes(kennel.role) && html`<${Add} kennel=${kennel} subject=${chosen[0] ?? subjects[0]} />`}
    <${OnTheWay} kennel=${kennel.kennel_id} />
    <${Shown} answers=${all}>${() => {
      const items = all.flatMap((one) => one.data?.items ?? []).filter((one) => chosen.some(({ field, id }) => one[field] === id));
      const papers = items.filter((one) => one.media_type === PDF);
      const groups = byAge(items.filter((one) => one.media_type !== PDF), born);
      return html`${items.length === 0 && html`<${State} state="empty" says=${t("album.none")} />`}
        ${groups.map((group) => html`<h3 key=${`${group.key}/${group.count}`}>${t(group.key, { count: group.count })}</h3>
          <${Pictures} kennel=${kennel} items=${group.items} born=${born} label=${label} />`)}
        ${papers.length > 0 && html`<h3>${t("album.papers")}</h3><${Papers} kennel=${kennel} items=${papers} label=${label} />`}`;
    }}<//></div>`;
}

/** @param {{ kennel: MyKennel, subject: Subject | undefined }} props A photograph by camera, or files; of the litter unless a pup is chosen above. */
function Add({ kennel, subject }) {
  const [told, setTold] = useState("");
  if (!subject) return null;
  const { field, id } = subject;
  const taken = (/** @type {any} */ event, /** @type {boolean} */ isNow) => {
    const files = [...event.target.files];
    // The same one may be chosen again.
    event.target.value = "";
    setTold("");
    const kind = (/** @type {File} */ file) => (file.type !== PDF ? "photo" : field === "placement_id" ? "contract" : "other");
    filesOut.add(kennel.kennel_id, files, (file) => ({ [field]: id, kind: kind(file), ...(isNow ? { taken_on: dayOf(now()) } : {}) }))
      .catch(() => setTold(t("album.no_room")));
  };
  return html`<p>${t("album.add_to", { name: subject.label })}</p><div class="row">
      <label class="button main">${t("album.camera")}<input class="heard" type="file" accept="image/*" capture="environment" onChange=${(/** @type {any} */ event) => taken(event, true)} /></label>
      <label class="button">${t("album.choose")}<input class="heard" type="file" accept=${TAKEN} multiple onChange=${(/** @type {any} */ event) => taken(event, false)} /></label></div>
    <p class="told" role="status">${told}</p>`;
}

/** @param {{ kennel: MyKennel, items: Kept[], born: string | null | undefined, label: (one: Kept) => string }} props */
function Pictures({ kennel, items, born, label }) {
  const [open, setOpen] = useState("");
  return html`<ul class="album small">${items.map((one) => {
    const age = ageOn(born, one.taken_on);
    const when = age !== undefined && age >= 0 ? t("album.age", { count: age }) : one.taken_on ? fullDate(one.taken_on) : "";
    const says = [label(one), when, one.caption].filter(Boolean).join(" · ");
    const isOpen = one.id === open;
    return html`<li key=${one.id}><button class="thumb" aria-expanded=${isOpen} onClick=${() => setOpen(isOpen ? "" : one.id)}>
        <${Thumb} kennel=${kennel.kennel_id} id=${one.id} alt=${one.caption ?? t("album.picture")} /><span>${says}${one.shown_to_buyer ? html` <span class="mark">${t("album.for_owner")}</span>` : ""}</span></button></li>
      ${isOpen && html`<li class="whole" key=${`${one.id}/whole`}><${Whole} kennel=${kennel} one=${one} says=${says} back=${() => setOpen("")} /></li>`}`;
  })}</ul>`;
}

/** @param {{ kennel: MyKennel, items: Kept[], label: (one: Kept) => string }} props */
function Papers({ kennel, items, label }) {
  return html`<ul class="lines-of papers">${items.map((one) => html`<li key=${one.id}>
    <p><strong>${one.caption ?? t(`album.kind.${one.kind}`)}</strong> · ${[label(one), one.caption ? t(`album.kind.${one.kind}`) : "", one.taken_on ? fullDate(one.taken_on) : "", one.shown_to_buyer ? t("album.for_owner") : ""].filter(Boolean).join(" · ")}</p>
    <div class="row"><${Paper} path=${`/v1/kennels/${kennel.kennel_id}/attachments/${one.id}/file`} name=${`${one.kind}.pdf`}>${t("album.save")}<//></div>
    ${writes(kennel.role) && html`<${Change} kennel=${kennel} one=${one} />`}</li>`)}</ul>`;
}
