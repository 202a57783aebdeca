// A litter: its births, how it grows, what was given and is due, whether and when the pups may go, to whom,
// its papers, and what became of its record.
import { html, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Form, Fold } from "../parts/form.js";
import { Frame } from "../parts/frame.js";
import { gained } from "../parts/gain.js";
import { History } from "../parts/history.js";
import { writes } from "../parts/kennel.js";
import { Paper, Picture } from "../parts/paper.js";
import { useAnswer, useText } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown, State } from "../parts/states.js";
import { Cautions } from "../parts/cautions.js";
import { dayOf, fullDate, language, learn, t } from "../parts/texts.js";
import { weight } from "../parts/units.js";
import { typedOf } from "../parts/typed.js";
import "../parts/record.js";
import en from "../texts/en/litter.js";
import de from "../texts/de/litter.js";
import { Album } from "../album/album.js";
import { daysSince, isNewborn } from "../newborns/age.js";
import { Births, labelOf } from "./births.js";
import { Health } from "./health.js";
import { Placed } from "./placed.js";
import { Ready } from "./ready.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, id: string }} props */
export function Litter({ kennel, id }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: id };
  const litter = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}", at);
  const births = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/births", at, "?limit=100");
  const title = litter.data?.name ?? t("litter.title");
  return html`<${Frame} title=${title} kennel=${kennel.kennel_id} litter=${id} wide=${true}>
    <${Shown} answers=${[litter, births]}>${() => {
      const record = /** @type {Schema["KeptLitter"]} */ (litter.data);
      const pups = births.data?.items ?? [];
      return html`<${Head} kennel=${kennel} litter=${record} pups=${pups} />
        ${pups.length === 0
          ? html`<${State} state="empty" says=${t("litter.not_born")} />`
          : html`<${Born} kennel=${kennel} litter=${record} pups=${pups} />`}
        <${Fold} label=${t("album.title")}><${Album} kennel=${kennel} born=${record.whelped_on}
          subjects=${[{ field: "litter_id", id, label: t("album.litter") }, ...pups.filter((pup) => pup.outcome === "alive").map((pup) => ({ field: "dog_id", id: pup.dog_id, label: labelOf(pup) }))]} /><//>
        <section aria-labelledby="prints"><h2 id="prints">${t("litter.prints")}</h2>
          <div class="row"><${Paper} path=${`/v1/kennels/${kennel.kennel_id}/litters/${id}/whelping-sheet.pdf?language=${language.peek()}`} name="whelping.pdf">${t("litter.sheet")}<//>
            ${pups.length > 0 && html`<${Paper} path=${`/v1/kennels/${kennel.kennel_id}/litters/${id}/labels.pdf?language=${language.peek()}`} name="labels.pdf">${t("litter.labels")}<//>`}
            <button onClick=${() => print()}>${t("litter.print")}</button></div></section>
        <${Fold} label=${t("litter.history")}><${History} kennel=${kennel}
          rows=${[{ id, label: t("litter.title") }, ...pups.map((pup) => ({ id: pup.id, label: labelOf(pup) }))]} /><//>`;
    }}<//>
  <//>`;
}

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: Schema["KeptLitter"], pups: Schema["KeptBirth"][] }} props */
function Head({ kennel, litter, pups }) {
  const alive = pups.filter((pup) => pup.outcome === "alive").length;
  const fields = /** @type {import("../parts/form.js").Field[]} */ ([
    { name: "name", label: t("litter.name") },
    { name: "weaned_on", label: t("litter.weaned_on"), kind: "date" },
    { name: "note", label: t("event.note"), kind: "lines" },
  ]);
  return html`
    <p>${litter.whelped_on ? t("litter.born_on", { day: fullDate(litter.whelped_on) }) : t("litter.expected")}
      ${pups.length > 0 && html` · ${t("litter.alive_of", { alive, all: pups.length })}`}</p>
    <div class="deeds">
      ${alive > 0 && html`<a class="button" href=${address("weigh", litter.id)}>${t("weigh.title")}</a>`}
      ${alive > 0 && litter.whelped_on && isNewborn(daysSince(litter.whelped_on)) && html`<a class="button" href=${address("newborns", litter.id)}>${t("home.newborns")}</a>`}
      <a class="button" href=${address("night", litter.id)}>${t("night.title")}</a>
      <a class="button" href=${address("dam", litter.dam_id)}>${t("litter.dam")}</a>
    </div>
    ${writes(kennel.role) && html`<${Fold} label=${t("litter.change")}>
      <${Form} kennel=${kennel.kennel_id} draft=${`litter/${litter.id}`} says="says.litter" change=${true} fields=${fields}
        first=${typedOf(fields, litter)} call=${(/** @type {any} */ body) => ({ method: "PATCH", path: `/litters/${litter.id}`, seen: true, body })} /><//>`}`;
}

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: Schema["KeptLitter"], pups: Schema["KeptBirth"][] }} props */
function Born({ kennel, litter, pups }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: litter.id };
  const day = dayOf(now());
  const growth = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/growth", at, `?forecast_until=${day}`);
  const picture = useText("/v1/kennels/{kennel_id}/litters/{litter_id}/growth.svg", at);
  const [figures, setFigures] = useState(false);
  const grown = growth.data?.pups ?? [];
  const told = Object.fromEntries(grown.map((pup) => [pup.dog_id, pup.label]));
  const alive = pups.filter((pup) => pup.outcome === "alive").map((pup) => ({ ...pup, label: labelOf(pup, told[pup.dog_id]) }));
  const present = alive.filter((pup) => grown.some((one) => one.dog_id === pup.dog_id && one.present));
  return html`<div class="desk"><div><${Births} kennel=${kennel} litter=${litter.id} pups=${pups} told=${told} />
    <section aria-labelledby="growth"><h2 id="growth">${t("litter.growth")}</h2>
      <${Shown} answers=${[growth]}>${() => html`
        <${Picture} answer=${picture} alt=${t("litter.growth_alt")} />
        <${Cautions} cautions=${[...(growth.data?.cautions ?? []), ...(growth.data?.pups ?? []).flatMap((pup) => pup.cautions)]} />
        <button aria-expanded=${figures} onClick=${() => setFigures(!figures)}>${t("litter.figures")}</button>
        ${figures && html`<ul class="figures">${growth.data?.pups.map((pup) => html`<li key=${pup.dog_id}><span>${pup.label}</span>
          <span>${pup.last ? weight(pup.last.weight_g) : "–"}</span>
          <span>${pup.since_yesterday ? gained(pup.since_yesterday) : ""}</span></li>`)}</ul>`}
        <p class="standing">${growth.data?.advice}</p>`}<//></section>
    </div><div>${present.length > 0 && html`<${Health} kennel=${kennel} litter=${litter.id} pups=${present} />
      <${Ready} kennel=${kennel} litter=${litter.id} />`}
    <${Placed} kennel=${kennel} pups=${alive} /></div></div>`;
}
