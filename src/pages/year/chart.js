// The picture of weeks: a line a litter and a dam; what is tried is moved by dragging it (and by buttons, drafts.js).
// Each span has its own pattern and stands in words below.
import { html, useRef, useState } from "../parts/html.js";
import { number, shortDate, t } from "../parts/texts.js";
import { between, months } from "./days.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
const WIDE = 1100;
const HEAD = 40;
const ROW = 44;

/** @param {{ plan: Schema["PlannerReport"], move: (key: string, days: number) => void }} props */
export function Chart({ plan, move }) {
  const { first_on: from, last_on: to } = plan.span;
  const perDay = WIDE / Math.max(1, between(from, to));
  const x = (/** @type {string} */ day) => Math.min(WIDE, Math.max(0, between(from, day) * perDay));
  const heats = [...new Map(plan.heats.map((heat) => [heat.dam_id, heat.name])).entries()];
  const tall = HEAD + (plan.litters.length + heats.length) * ROW + 8;
  return html`<div class="scrolls" role="region" tabindex="0" aria-label=${t("year.picture")}>
    <svg class="year" viewBox=${`0 0 ${WIDE} ${tall}`} role="img" aria-label=${t("year.picture_alt", { litters: plan.litters.length, clashes: plan.clashes.length })}>
      <defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="hatch" width="2.4" height="6" /></pattern></defs>
      ${months(from, to).map((day) => html`<line class="month" x1=${x(day)} x2=${x(day)} y1="0" y2=${tall} /><text x=${x(day) + 4} y="15">${shortDate(day).replace(/^1\.? /, "")}</text>`)}
      ${plan.clashes.map((clash) => html`<rect class="clash" x=${x(clash.first_on)} y="20" width=${Math.max(6, x(clash.last_on) - x(clash.first_on))} height=${tall - 20} /><text class="strong" x=${x(clash.first_on)} y="34">✗</text>`)}
      ${plan.litters.map((litter, row) => html`<${Line} key=${litter.key} litter=${litter} top=${HEAD + row * ROW} x=${x} from=${from} perDay=${perDay} move=${move} />`)}
      ${heats.map(([dam, name], row) => {
        const top = HEAD + (plan.litters.length + row) * ROW;
        const own = plan.heats.filter((heat) => heat.dam_id === dam);
        return html`<g key=${dam}><text x=${Math.min(WIDE - 120, x(own[0]?.earliest_on ?? from) + 2)} y=${top + 12}>${t("year.heat_of", { name })}</text>
          ${own.map((heat) => html`<rect class="heat-span" x=${x(heat.earliest_on)} y=${top + 17} width=${Math.max(3, x(heat.latest_on) - x(heat.earliest_on))} height="16" rx="3" />
            <line class="likely" x1=${x(heat.likely_on)} x2=${x(heat.likely_on)} y1=${top + 15} y2=${top + 35} />`)}</g>`;
      })}
    </svg></div>
    <ul class="legend">${["birth", "critical", "place", "go_home", "heat", "clash"].map((key) => html`<li><span class=${`sample sample-${key}`} aria-hidden="true"></span>${t(`year.${key}`)}</li>`)}</ul>`;
}

/** @param {{ litter: Schema["PlannedLitter"], top: number, x: (day: string) => number, from: string, perDay: number, move: (key: string, days: number) => void }} props */
function Line({ litter, top, x, from, perDay, move }) {
  const begun = useRef(/** @type {number | undefined} */ (undefined));
  const [by, setBy] = useState(0);
  const days = Math.round(by / perDay);
  const span = (/** @type {string} */ kind, /** @type {Schema["DateSpan"]} */ one, height = 16, low = 17) =>
    one.last_on >= from && html`<rect class=${kind} x=${x(one.first_on)} y=${top + low} width=${Math.max(4, x(one.last_on) - x(one.first_on))} height=${height} rx="3" />`;
  // In units of the picture, which is drawn larger or smaller than it is.
  const at = (/** @type {any} */ event) => (event.clientX / (event.currentTarget.ownerSVGElement.getBoundingClientRect().width || WIDE)) * WIDE;
  const drag = litter.draft ? {
    onPointerDown: (/** @type {any} */ event) => {
      event.currentTarget.setPointerCapture(event.pointerId);
      begun.current = at(event);
    },
    onPointerMove: (/** @type {any} */ event) => { if (begun.current !== undefined) setBy(at(event) - begun.current); },
    onPointerUp: () => {
      begun.current = undefined;
      setBy(0);
      if (days !== 0) move(litter.key, days);
    },
  } : {};
  const label = `${litter.draft ? `${t("year.draft")} ` : ""}${litter.name} · ${number(litter.chance_of_litter * 100)} %${days === 0 ? "" : ` · ${days > 0 ? "+" : "−"}${Math.abs(days)} ${t("year.days")}`}`;
  return html`<g ...${drag} class=${litter.draft ? "draft" : ""} data-key=${litter.key} transform=${`translate(${days * perDay} 0)`}>
    ${litter.draft && html`<rect class="grip" x=${x(litter.place_needed.first_on) - 6} y=${top} width=${x(litter.go_home.last_on) - x(litter.place_needed.first_on) + 12} height="40" rx="4" />`}
    <text class="strong" x=${Math.min(WIDE - 200, x(litter.place_needed.first_on) + 2)} y=${top + 11}>${label}</text>
    ${span("place", litter.place_needed)}${span("critical", litter.critical)}${span("go-home", litter.go_home)}${span("birth", litter.birth, 20, 16)}</g>`;
}
