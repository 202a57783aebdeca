// Whether she may be bred again: one answer by her own state, the law and the kennel's rules, and every ground of it.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { Fold } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** Shape beside the word. */
const MARK = { yes: "✓", unknown: "?", ask_vet: "◆", not_yet: "✗", no: "✗" };

/** @param {{ kennel: string, dog: string }} props */
export function Again({ kennel, dog }) {
  const again = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/breeding-again", { kennel_id: kennel, dog_id: dog });
  return html`<section class="again" aria-labelledby="again"><h2 id="again">${t("again.title")}</h2>
    <${Shown} answers=${[again]}>${() => {
      const one = /** @type {Schema["BreedingAgain"]} */ (again.data);
      const [against, met] = [one.grounds.filter((ground) => ground.answer !== "yes"), one.grounds.filter((ground) => ground.answer === "yes")];
      return html`<p><strong>${MARK[one.answer]} ${one.says}</strong></p>
        <p>${t("again.on", { day: fullDate(one.mated_on) })}</p>
        <${Cautions} cautions=${one.cautions} />
        <${Grounds} grounds=${against} />
        ${met.length > 0 && html`<${Fold} label=${t("again.met", { count: met.length })}><${Grounds} grounds=${met} /><//>`}
        ${one.heats.length > 0 && html`<${Fold} label=${t("again.heats")}><ul class="lines-of">${one.heats.map((heat) => html`<li key=${heat.number}>
          <strong>${MARK[heat.answer]} ${t(`may_breed.${heat.answer}`)}</strong> · ${t("again.heat", { heat: fullDate(heat.likely_on), mated: fullDate(heat.mated_on) })}</li>`)}</ul><//>`}
        <p class="standing">${one.advice}</p>`;
    }}<//></section>`;
}

/** @param {{ grounds: Schema["BreedingGround"][] }} props */
function Grounds({ grounds }) {
  return html`<ul class="lines-of">${grounds.map((ground) => html`<li><p><strong>${MARK[ground.answer]} ${t(`ground_of.${ground.of}`)}:</strong> <span>${ground.what}</span>
      ${ground.met_from && ground.answer !== "yes" ? ` · ${t("again.from", { day: fullDate(ground.met_from) })}` : ""}</p>
    <p class="hint">${t("banner.source")} <span lang="en">${ground.source}</span></p></li>`)}</ul>`;
}
