// The round of the newborns: the pup most likely to be fading first; of each whether it was looked over, what was
// found, whether it fed, who is called and why; and what is written of it in the nest.
import { html, useSignal, useState } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { now } from "../parts/clock.js";
import { Collar, Label } from "../parts/collars.js";
import { Fold } from "../parts/form.js";
import { Frame } from "../parts/frame.js";
import { writes } from "../parts/kennel.js";
import { queue } from "../parts/kept.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown, State } from "../parts/states.js";
import { moment, number, t } from "../parts/texts.js";
import { warmth } from "../parts/units.js";
import { wrote } from "../parts/undo.js";
import { Check } from "./check.js";
import { ITEMS } from "./exam.js";
import { LookOver } from "./look.js";
import { Rearing } from "./rearing.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/types.d.ts").MyKennel} Kennel */
/** Hours of age that are told as hours. */
const HOURS = 72;

/** @param {{ kennel: Kennel, id: string }} props */
export function Newborns({ kennel, id }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: id };
  const litter = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}", at);
  const round = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/newborns", at);
  const births = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/births", at, "?limit=100");
  return html`<${Frame} title=${litter.data?.name ? t("newborns.of", { litter: litter.data.name }) : t("newborns.title")} kennel=${kennel.kennel_id} litter=${id}>
    <${Shown} answers=${[round, births]}>${() => {
      const pups = round.data?.pups ?? [];
      const collars = Object.fromEntries((births.data?.items ?? []).map((birth) => [birth.dog_id, birth.collar]));
      return html`<div class="deeds"><a class="button" href=${address("weigh", id)}>${t("newborns.weigh")}</a>
          <a class="button" href=${address("litter", id)}>${t("home.litter")}</a>
          ${litter.data && html`<a class="button" href=${address("dam", litter.data.dam_id)}>${t("newborns.dam")}</a>`}</div>
        ${pups.length === 0 && html`<${State} state="empty" says=${t("newborns.none")} />`}
        <ul class="newborns">${pups.map((pup) => html`<li class="card" key=${pup.dog_id}><${Pup} kennel=${kennel} litter=${id} pup=${pup} collar=${collars[pup.dog_id]} /></li>`)}</ul>
        <p class="standing">${round.data?.advice}</p>`;
    }}<//>
  <//>`;
}

/** @param {{ kennel: Kennel, litter: string, pup: Schema["RoundOfPup"], collar: string | null | undefined }} props */
function Pup({ kennel, litter, pup, collar }) {
  const [open, setOpen] = useState("");
  const items = useSignal(queue.items);
  const waits = items.some(({ row, state }) => row?.kind === "pup_check" && row.subject_id === pup.dog_id && state === "kept");
  // It calls by itself or, with graver grounds, within another alarm of the pup.
  const alarms = useAnswer("/v1/kennels/{kennel_id}/alarms", { kennel_id: kennel.kennel_id });
  const fades = (alarms.data?.items ?? []).some(({ about, grounds }) => about.dog_id === pup.dog_id && grounds.some((ground) => ground.code === "newborn.fading"));
  const shut = () => setOpen("");
  const about = { kennel: kennel.kennel_id, litter, dog: pup.dog_id, done: shut };
  const age = pup.age_hours < HOURS ? t("newborns.hours", { count: pup.age_hours }) : t("litter.age", { count: Math.floor(pup.age_hours / 24) });
  const said = [pup.first_fed_at ? t("newborns.fed", { at: moment(pup.first_fed_at, now()) }) : "",
    typeof pup.temperature_c === "number" ? `${warmth(pup.temperature_c)}${pup.temperature_at ? `, ${moment(pup.temperature_at, now())}` : ""}` : ""].filter(Boolean).join(" · ");
  return html`<h2 class="row">${collar ? html`<${Collar} name=${collar} />` : html`<${Label} label=${pup.label} />`}<span>· ${age}</span></h2>
    ${said && html`<p>${said}</p>`}
    ${!pup.first_fed_at && pup.age_hours < HOURS && html`<p>${t("newborns.not_fed")}</p>`}
    <${Cautions} cautions=${pup.cautions} />
    <${Looked} kennel=${kennel} pup=${pup} />
    ${pup.fading && fades && html`<${Fading} score=${pup.fading} />`}
    ${waits && html`<p class="mark" role="status">✓ ${t("newborns.kept")}</p>`}
    ${open === "look" ? html`<${LookOver} ...${about} />` : open === "check" ? html`<${Check} ...${about} />` : writes(kennel.role) && html`<div class="deeds">
      <button class=${pup.exam.length === 0 && pup.age_hours < HOURS ? "main" : ""} onClick=${() => setOpen("look")}>${t("newborns.look")}</button>
      <button onClick=${() => setOpen("check")}>${t("newborns.check")}</button></div>`}
    <${Fold} label=${t("rearing.title")}><${Rearing} kennel=${kennel.kennel_id} dog=${pup.dog_id} /><//>`;
}

/** What the look over it found, and what nobody has looked at yet. @param {{ kennel: Kennel, pup: Schema["RoundOfPup"] }} props */
function Looked({ kennel, pup }) {
  const wrong = pup.exam.filter((line) => line.finding !== "normal");
  const bySight = (/** @type {string} */ item) => {
    const kept = queue.add({ kennel: kennel.kennel_id, says: "says.pup_check", row: { kind: "pup_check", subject_id: pup.dog_id,
      record: { checked_at: new Date().toISOString(), exam: { [item]: "seen_by_vet" } } } });
    wrote(t("says.pup_check"), [kept]);
  };
  const left = pup.not_looked_at.map((item) => t(`exam.${item}`)).join(", ");
  return html`${pup.exam.length > 0 && html`<p>${wrong.length === 0 ? "✓ " : ""}${t("newborns.looked", { count: pup.exam.length, all: ITEMS.length, right: pup.exam.length - wrong.length })}</p>`}
    ${wrong.map((line) => html`<p key=${line.item} class="row"><strong>✗ ${t(`exam.${line.item}`)}: ${t(`exam_found.${line.finding}`)}</strong> ${moment(line.seen_at, now())}
      ${line.finding === "abnormal" && writes(kennel.role) && html`<button onClick=${() => bySight(line.item)}>${t("newborns.by_vet")}</button>`}</p>`)}
    ${left && pup.age_hours < HOURS && html`<p>${t("newborns.left", { places: left })}</p>`}`;
}

/** What speaks for fading, and what was not looked at. @param {{ score: Schema["FadingScore"] }} props */
function Fading({ score }) {
  const percent = (/** @type {number} */ share) => number(share * 100);
  return html`<${Fold} label=${t("fading.title", { percent: percent(score.probability) })}>
    <ul class="lines-of">${score.grounds.map((ground) => html`<li key=${ground.evidence}><strong>${t(`fading.${ground.evidence}`)}, ${t(ground.log_odds > 0 ? "fading.against" : "fading.for")}:</strong> <span>${ground.why}</span></li>`)}</ul>
    ${typeof score.by_weights_alone === "number" && html`<p>${t("fading.weights_alone", { percent: percent(score.by_weights_alone) })}</p>`}
    ${score.lacks.length > 0 && html`<p>${t("fading.lacks")} <span>${score.lacks.join("; ")}</span>.</p>`}<//>`;
}
