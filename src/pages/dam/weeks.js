// Her weeks after a birth: discharge and womb, the risk of low calcium, and what nursing takes from her weight.
import { html } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Fold } from "../parts/form.js";
import { fullDate, moment, shortDate, t } from "../parts/texts.js";
import { weight } from "../parts/units.js";

/** @param {{ weeks: import("../parts/types.d.ts").Schema["Puerperium"] }} props */
export function Weeks({ weeks }) {
  const { involution: womb, calcium_risk: calcium, weight: course } = weeks;
  return html`<h3>${t("weeks.womb")}</h3>
    <p><strong>${t(`lochia.${womb.lochia}`)}</strong> ${womb.last_seen && womb.last_seen_at ? `· ${t("weeks.seen", { what: t(`discharge.${womb.last_seen}`), at: moment(womb.last_seen_at, now()) })}` : ""}</p>
    <p>${womb.usual}</p>
    <p>${t("weeks.lochia", { after: fullDate(womb.not_usual_after), healed: fullDate(womb.healed_on) })}</p>
    <h3>${t("weeks.calcium")}</h3>
    <p><strong>${t(`calcium.${calcium.level}`)}</strong>${calcium.level === "over" ? "" : ` · ${t("weeks.peak", { from: shortDate(calcium.peak_from_on), to: shortDate(calcium.peak_to_on), until: shortDate(calcium.watched_until) })}`}</p>
    ${calcium.grounds.length > 0 && html`<ul class="lines-of">${calcium.grounds.map((ground) => html`<li>${ground}</li>`)}</ul>`}
    <p>${calcium.advice}</p>
    ${course && html`<h3>${t("weeks.weight")}</h3><p>${course.too_low ? "✗ " : ""}${course.says}</p>
      <p>${t("weeks.weights", { last: weight(course.last_g), at: moment(course.last_at, now()), usual: weight(course.usual_g) })}</p>`}
    <${Fold} label=${t("weeks.sources")}><ul class="lines-of" lang="en">${[...womb.sources, calcium.source].map((source) => html`<li>${source}</li>`)}</ul>
      <p>${t("weeks.since", { day: fullDate(weeks.whelped_on) })}</p><//>`;
}
