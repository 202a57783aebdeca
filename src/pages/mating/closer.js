// A closer look at a pair: where the inbreeding comes from, what pups can inherit and what colours they can have.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { useAsked } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { number, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** A chance as one figure or a range. @param {Schema["MendelianChance"]} chance */
function told({ lowest, highest }) {
  const [low, high] = [number(lowest * 100), number(highest * 100)];
  return low === high ? `${low} %` : `${low}–${high} %`;
}

/** @param {{ kennel: string, dam: string, sire: string }} props */
export function Closer({ kennel, dam, sire }) {
  const own = { kennel_id: kennel };
  const trial = useAsked("/v1/kennels/{kennel_id}/trial-matings", own, { dams: [dam], sires: [sire], explain: true });
  const genetics = useAsked("/v1/kennels/{kennel_id}/trial-matings/genetics", own, { dam_id: dam, sire_id: sire });
  return html`<div class="closer">
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
      const { genotypes, colours, breeds } = /** @type {Schema["TrialGenetics"]} */ (genetics.data);
      return html`<${Cautions} cautions=${genotypes.cautions} />
        ${genotypes.markers.length === 0 && html`<p>${t("closer.untested")}</p>`}
        <ul class="lines-of">${genotypes.markers.map((marker) => html`<li key=${marker.marker}><strong>${marker.name}</strong>
          ${Object.entries({ daughters: marker.daughters_show, sons: marker.sons_show }).map(([who, shows]) => html`<p>${t(`closer.${who}`)}
            <span>${shows.map((one) => `${one.class} ${told(one.chance)}`).join(", ")}</span></p>`)}
          <p class="hint">${t("banner.source")} <span lang="en">${marker.source}</span></p></li>`)}</ul>
        <h4>${t("closer.colours")}</h4>
        ${colours ? html`<ul class="lines-of">${colours.colours.slice(0, 8).map((one) => html`<li key=${one.name}><span>${one.name}</span>: ${told(one.chance)}</li>`)}</ul>
          <p class="hint">${t("banner.source")} <span lang="en">${colours.source}</span></p>` : html`<p>${t("closer.no_colours")}</p>`}
        <h4>${t("closer.breeds")}</h4>
        <p>${breeds.shares.map((share) => `${share.breed ?? t("closer.breed_unknown")} ${number(share.expected * 100)} %`).join(", ")}</p>`;
    }}<//></div>`;
}
