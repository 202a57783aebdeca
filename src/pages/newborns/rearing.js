// A pup reared by hand, day by day until it is weaned, with published figures side by side where they differ.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { Fold } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { number, shortDate, t } from "../parts/texts.js";
import { warmth, weight } from "../parts/units.js";
import { spansOf } from "./spans.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @param {number} low @param {number} high @param {(value: number) => string} told */
const range = (low, high, told) => (told(low) === told(high) ? told(low) : `${told(low)}–${told(high)}`);

/** @param {{ kennel: string, dog: string }} props */
export function Rearing({ kennel, dog }) {
  const plan = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/rearing-plan", { kennel_id: kennel, dog_id: dog });
  return html`<${Shown} answers=${[plan]}>${() => {
    const one = /** @type {Schema["RearingPlan"]} */ (plan.data);
    const subjects = [...new Set(one.figures.map((figure) => figure.subject))];
    return html`<${Cautions} cautions=${one.cautions} />
      <p>${t("rearing.for_100", { kcal: number(one.replacer_kcal_per_ml, 2) })} ${typeof one.weight_g === "number" ? t("rearing.weighs", { weight: weight(one.weight_g) }) : ""}</p>
      <ul class="lines-of">${spansOf(one.days).map((span) => html`<li key=${span.first.falls_on}><${Span} span=${span} /></li>`)}</ul>
      <p>${t("rearing.stomach", { ml: number(one.stomach_ml_per_100_g, 1) })}</p>
      ${one.lacks.length > 0 && html`<p>${t("rearing.lacks")} <span>${one.lacks.join("; ")}</span>.</p>`}
      <h3>${t("rearing.each_feed")}</h3><ol class="lines-of">${one.each_feed.map((line) => html`<li>${line}</li>`)}</ol>
      <${Fold} label=${t("rearing.figures")}>${subjects.map((subject) => html`<h3 key=${subject}>${t(`rearing_of.${subject}`)}</h3>
        <ul class="lines-of">${one.figures.filter((figure) => figure.subject === subject).map((figure) => html`<li>
          <p>${t("rearing.days", { from: figure.from_day, to: figure.to_day - 1 })}: ${figure.unit === "celsius" ? range(figure.low, figure.high, warmth)
            : `${range(figure.low, figure.high, (value) => number(value, Number.isInteger(value) ? 0 : 1))} ${t(`rearing_unit.${figure.unit}`)}`}</p>
          <p class="hint">${t("banner.source")} <span lang="en">${figure.source}</span></p></li>`)}</ul>`)}<//>
      <p class="standing">${one.advice}</p>`;
  }}<//>`;
}

/** Days that are alike. @param {{ span: { first: Schema["RearingDay"], last: Schema["RearingDay"] } }} props */
function Span({ span: { first, last } }) {
  const days = first === last ? t("rearing.day", { day: first.age_days }) : t("rearing.days", { from: first.age_days, to: last.age_days });
  const on = first === last ? shortDate(first.falls_on) : `${shortDate(first.falls_on)} – ${shortDate(last.falls_on)}`;
  const ml = range(first.volume_low_ml_per_100_g, first.volume_high_ml_per_100_g, (value) => number(value, 0));
  const kcal = range(first.energy_low_kcal_per_100_g, first.energy_high_kcal_per_100_g, (value) => number(value, 0));
  const nest = typeof first.nest_low_c === "number" && typeof first.nest_high_c === "number" ? range(first.nest_low_c, first.nest_high_c, warmth) : "";
  return html`<p><strong>${days}</strong> · ${on}</p>
    <p>${[t("rearing.feeds", { feeds: range(first.feeds_least, first.feeds_most, String), hours: number(first.longest_gap_hours, Number.isInteger(first.longest_gap_hours) ? 0 : 1) }),
      t("rearing.ml", { ml, kcal }), nest ? t("rearing.nest", { nest }) : "", t(`toileting.${first.toileting}`), first.solids ? t("rearing.solids") : ""].filter(Boolean).join(" · ")}</p>`;
}
