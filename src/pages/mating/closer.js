// A closer look at a pair: his tests before a mating, where the inbreeding comes from, what pups can inherit and what
// colours they can have, and what screening and laboratories found of the two.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { Fold } from "../parts/form.js";
import { useAsked } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { number, t } from "../parts/texts.js";
import { Measured, Values } from "./screened.js";
import { Tests } from "./tests.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

const COPIES = { one: "copies.single", two: "copies.double", one_or_two: "copies.either" };

/** A chance as one figure or a range. @param {Schema["MendelianChance"]} chance */
function told({ lowest, highest }) {
  const [low, high] = [number(lowest * 100), number(highest * 100)];
  return low === high ? `${low} %` : `${low}–${high} %`;
}

/** @param {Schema["MarkerClassChance"][]} shows */
const shown = (shows) => shows.map((one) => `${one.class} ${told(one.chance)}`).join(", ");

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, dam: string, sire: string, on: string }} props `on`: day of mating; today when empty */
export function Closer({ kennel, dam, sire, on }) {
  const own = { kennel_id: kennel.kennel_id };
  const trial = useAsked("/v1/kennels/{kennel_id}/trial-matings", own, { dams: [dam], sires: [sire], explain: true });
  const genetics = useAsked("/v1/kennels/{kennel_id}/trial-matings/genetics", own, { dam_id: dam, sire_id: sire });
  return html`<div class="closer">
    <h4>${t("tests.of_sire")}</h4><${Tests} kennel=${kennel} of="sire" dog=${sire} on=${on} />
    <h4>${t("closer.ancestors")}</h4>
    <${Shown} answers=${[trial]}>${() => {
      const report = trial.data?.explanations[0]?.report;
      if (!report) return html`<p>${t("closer.none")}</p>`;
      const called = (/** @type {string} */ dog) => {
        const one = report.dogs.find(({ dog_id: id }) => id === dog);
        return one?.name ?? one?.call_name ?? "–";
      };
      return html`${report.ancestors.length === 0 && html`<p>${t("closer.none")}</p>`}
        <ul class="lines-of">${report.ancestors.slice(0, 6).map((one) => html`<li key=${one.dog_id}>${called(one.dog_id)}: ${number(one.contribution * 100, 1)} %</li>`)}</ul>
        <p class="hint">${t("closer.known", { full: report.known_ancestors.full_generations, deepest: report.known_ancestors.deepest_generation })} <span>${report.lower_bound.why}</span></p>
        <${Cautions} cautions=${trial.data?.cautions.map((one) => one.caution) ?? []} />`;
    }}<//>
    <h4>${t("closer.health")}</h4>
    <${Shown} answers=${[genetics]}>${() => {
      const { genotypes, colours, breeds, free_tests: free } = /** @type {Schema["TrialGenetics"]} */ (genetics.data);
      return html`<${Cautions} cautions=${genotypes.cautions} />
        ${genotypes.markers.length === 0 && html`<p>${t("closer.untested")}</p>`}
        <ul class="lines-of">${genotypes.markers.map((marker) => html`<li key=${marker.marker}><strong>${marker.name}</strong>
          ${Object.entries({ daughters: marker.daughters_show, sons: marker.sons_show }).map(([who, shows]) => html`<p>${t(`closer.${who}`)} <span>${shown(shows)}</span></p>`)}
          <${Risks} risks=${marker.risks} />
          <p class="hint">${t("banner.source")} <span lang="en">${marker.source}</span></p></li>`)}
          ${free.map((test) => html`<li key=${test.name}><strong>${test.name}</strong> ${[test.dam && t("closer.dam_has", { result: test.dam.result }), test.sire && t("closer.sire_has", { result: test.sire.result })].filter(Boolean).join(" · ")}
            ${test.outlook ? html`<p>${t("closer.daughters")} <span>${shown(test.outlook.daughters_show)}</span></p><p>${t("closer.sons")} <span>${shown(test.outlook.sons_show)}</span></p>` : html`<p>${test.why_none}</p>`}
            <${Cautions} cautions=${test.cautions} /></li>`)}</ul>
        <h4>${t("closer.colours")}</h4>
        ${colours ? html`<ul class="lines-of">${colours.colours.slice(0, 8).map((one) => html`<li key=${one.name}><span>${one.name}</span>: ${told(one.chance)}</li>`)}</ul>
          <p class="hint">${t("banner.source")} <span lang="en">${colours.source}</span></p>` : html`<p>${t("closer.no_colours")}</p>`}
        <h4>${t("closer.breeds")}</h4>
        <p>${breeds.shares.map((share) => `${share.breed ?? t("closer.breed_unknown")} ${number(share.expected * 100)} %`).join(", ")}</p>`;
    }}<//>
    <${Fold} label=${t("values.title")}><${Values} kennel=${kennel} dam=${dam} sire=${sire} /><//>
    <${Fold} label=${t("screened.dam")}><${Measured} kennel=${kennel} dog=${dam} /><//>
    <${Fold} label=${t("screened.sire")}><${Measured} kennel=${kennel} dog=${sire} /><//></div>`;
}

/** How great the risk of a genotype is, as it was published; the place of the copies says whose. @param {{ risks: Schema["MarkerRisk"][] }} props */
const Risks = ({ risks }) => risks.map((risk) => html`<p>${t(COPIES[risk.copies])}: <span>${risk.outcome}</span>${range(risk)}</p>
  <p class="hint">${t("banner.source")} <span lang="en">${risk.source}</span></p>`);

/** @param {Schema["MarkerRisk"]} risk */
function range({ low, high, measure }) {
  const known = [low, high].filter((one) => typeof one === "number");
  if (known.length === 0) return ` · ${t("closer.no_figure")}`;
  const said = [...new Set(known.map((one) => (measure === "share" ? number(Number(one) * 100) : number(Number(one), 1))))].join("–");
  return ` · ${measure === "share" ? `${said} %` : t("closer.times", { times: said })}`;
}
