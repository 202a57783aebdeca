// One sire for the dam: how he stands, why, and what is told when one looks closer.
import { html, useState } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { number, t } from "../parts/texts.js";
import { Closer } from "./closer.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {{ kennel: import("../parts/types.d.ts").MyKennel, dam: string, on: string }} About */

/** @param {{ inbreeding: number | null | undefined, generations: number | null | undefined }} props */
function Inbreeding({ inbreeding, generations }) {
  return html`<p>${typeof inbreeding === "number" ? html`<span class="big">${number(inbreeding * 100, 1)} %</span> ${t("mating.inbreeding")}` : t("mating.inbreeding_unknown")}
    ${typeof generations === "number" && html`<br /><span class="hint">${t("mating.complete", { count: number(generations, 1) })}</span>`}</p>`;
}

/** @param {{ one: Schema["RankedMating"], name: string, about: About }} props */
export function Ranked({ one, name, about }) {
  return html`<h3>${one.rank}. ${name}</h3>
    <p>✓ ${t("mating.nothing_against")} · ${t("mating.score", { score: number(one.score * 100) })}</p>
    <${Inbreeding} inbreeding=${one.inbreeding} generations=${one.complete_generation_equivalents} />
    <${Cautions} cautions=${one.cautions} />
    ${one.risks.map((risk) => html`<p class="warn"><span>${risk.name}</span>: ${t("mating.risk", { low: number(risk.lowest * 100), high: number(risk.highest * 100) })}</p>`)}
    ${one.notes.map((note) => html`<p>${note}</p>`)}
    <${Fold} label=${t("mating.parts")}><ul class="lines-of">${one.parts.map((part) => html`<li><p>${t(`part.${part.part}`)}: ${t("mating.points", { points: number(part.points * 100), weight: number(part.weight, 1) })}</p>
      <p>${part.detail}</p><p class="hint">${t("banner.source")} <span lang="en">${part.source}</span></p></li>`)}</ul><//>
    <${Deeds} one=${one} name=${name} about=${about} />`;
}

/** @param {{ one: Schema["ExcludedMating"], name: string, about: About }} props */
export function Excluded({ one, name, about }) {
  return html`<h3>${name}</h3>
    <p><strong>✗ ${t("mating.against", { count: one.exclusions.length })}</strong></p>
    <${Inbreeding} inbreeding=${one.inbreeding} generations=${one.complete_generation_equivalents} />
    <ul class="lines-of">${one.exclusions.map((why) => html`<li><p>${why.detail}</p><p class="hint">${t("banner.source")} <span lang="en">${why.source}</span></p></li>`)}</ul>
    <${Cautions} cautions=${one.cautions} />
    <${Deeds} one=${one} name=${name} about=${about} />`;
}

/** @param {{ one: { sire_id: string }, name: string, about: About }} props */
function Deeds({ one, name, about }) {
  const { kennel, dam, on } = about;
  const [open, setOpen] = useState(false);
  const methods = ["natural", "fresh", "chilled", "frozen"].map((method) => /** @type {[string, string]} */ ([method, t(`method.${method}`)]));
  return html`<button aria-expanded=${open} onClick=${() => setOpen(!open)}>${t(open ? "outbox.close" : "mating.closer")}</button>
    ${open && html`<${Closer} kennel=${kennel} dam=${dam} sire=${one.sire_id} on=${on} />`}
    ${writes(kennel.role) && html`<${Fold} label=${t("mating.plan", { name })}><${Form} kennel=${kennel.kennel_id} draft=${`plan/${dam}/${one.sire_id}`} says="says.mating"
      fields=${[{ name: "planned_on", label: t("mating.on"), kind: "date", required: true }, { name: "method", label: t("mating.method"), kind: "choice", required: true, options: methods },
        { name: "note", label: t("event.note"), kind: "lines" }]} first=${{ planned_on: on, method: "natural" }} button=${t("mating.plan_it")}
      call=${(/** @type {any} */ body) => ({ method: "POST", path: "/matings", body: { ...body, dam_id: dam, sire_id: one.sire_id, status: "planned" } })} /><//>`}`;
}
