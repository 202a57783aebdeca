// The one alarm banner, at the head of each page: the gravest first, what and why, the vet's number to tap,
// who has seen it. It tells a screen reader once when there is a new gravest alarm, not at every look.
import { html, useSignal, useState } from "./html.js";
import { session } from "./api.js";
import { now } from "./clock.js";
import { queue } from "./kept.js";
import { useAnswer } from "./read.js";
import { dayOf, fullDate, moment, t } from "./texts.js";

/** @typedef {import("./types.d.ts").Alarm} Alarm */
const ORDER = { emergency: 0, act: 1, note: 2 };
/** Shape beside the word: nobody has to tell colours apart. */
const SHAPE = { emergency: "▲", act: "◆", note: "●" };

/** The gravest first; of those, what nobody has seen; then the latest. @param {Alarm[]} alarms */
export function byGravity(alarms) {
  return [...alarms].sort((a, b) =>
    ORDER[a.level] - ORDER[b.level] || Number(!!a.seen) - Number(!!b.seen) || b.since.localeCompare(a.since));
}

/** @param {{ level: keyof typeof SHAPE }} props */
export function LevelMark({ level }) {
  return html`<span class=${`level level-${level}`}><span aria-hidden="true">${SHAPE[level]}</span> ${t(`level.${level}`)}</span>`;
}

/** @param {{ kennel: string, litter?: string }} props `litter` puts that litter's alarms first */
export function Banner({ kennel, litter }) {
  const alarms = useAnswer("/v1/kennels/{kennel_id}/alarms", { kennel_id: kennel });
  const particulars = useAnswer("/v1/kennels/{kennel_id}", { kennel_id: kennel });
  const [open, setOpen] = useState(false);
  const items = byGravity(alarms.data?.items ?? []);
  const graver = items.filter((alarm) => alarm.level !== "note");
  // On the page of one litter its own stand first among equals.
  const first = graver.find((a) => a.level === graver[0]?.level && a.about.litter_id === litter) ?? graver[0];
  const rest = items.filter((alarm) => alarm !== first);
  const vet = particulars.data?.vet_phone ?? null;
  const ends = particulars.data?.ends_at;
  const more = rest.length > 0 && html`<button class="more" aria-expanded=${open} aria-label=${t("banner.more", { count: rest.length })}
    onClick=${() => setOpen(!open)}>${open ? "−" : `+${rest.length}`}</button>`;
  const told = first ? `${t(`level.${first.level}`)}: ${first.what}` : "";
  return html`<section class=${`banner ${first ? `banner-${first.level}` : "banner-quiet"}`} aria-label=${t("banner.label")} data-testid="banner">
    <p class="heard" role="status">${told}</p>
    ${ends && html`<div class="row quiet" data-ends=${ends}><a href="#/kennel">${t("banner.ends", { day: fullDate(dayOf(Date.parse(ends))) })}</a></div>`}
    ${first
      ? html`<${One} key=${first.id} alarm=${first} kennel=${kennel} vet=${vet} more=${more} />`
      : html`<div class="row quiet"><span>${alarms.data ? t(rest.length > 0 ? "banner.notes" : "banner.none") : t(alarms.state === "loading" ? "banner.loading" : "banner.unknown")}</span>${more}</div>`}
    ${open && rest.map((alarm) => html`<${One} key=${alarm.id} alarm=${alarm} kennel=${kennel} vet=${vet} />`)}
    ${open && alarms.data && html`<p class="standing">${alarms.data.advice}</p>`}
  </section>`;
}

/** @param {{ alarm: Alarm, kennel: string, vet: string | null, more?: any }} props */
function One({ alarm, kennel, vet, more }) {
  const path = `/alarms/${alarm.id}/seen`;
  const items = useSignal(queue.items);
  const marked = items.find((item) => item.call?.path === path && item.state === "kept");
  const mine = marked && { name: session.peek().who?.person.name, seen_at: new Date(marked.at).toISOString() };
  const seen = alarm.seen ?? mine;
  return html`<div class="alarm" data-level=${alarm.level} data-alarm=${alarm.id}>
    <details class="why"><summary><span class="lines"><span class="what"><${LevelMark} level=${alarm.level} /> <span>${alarm.what}</span></span>
      <span class="line">${alarm.why}</span></span></summary>
      <p>${alarm.why}</p>
      <p>${t("banner.source")} <span lang="en">${alarm.source}</span></p>
      <p>${t("banner.since", { at: moment(alarm.since, now()) })}</p>
    </details>
    <div class="deeds">
      ${alarm.level !== "note" && html`<${Vet} number=${vet} />`}
      ${seen
        ? html`<span class="seen">${t("banner.seen", { name: seen.name ?? t("banner.somebody"), at: moment(seen.seen_at, now()) })}</span>`
        : html`<button onClick=${() => queue.add({ kennel, says: "queue.seen", call: { method: "POST", path, body: {} } })}>${t("banner.mark")}</button>`}
      ${more}
    </div>
  </div>`;
}

/** @param {{ number: string | null }} props */
export function Vet({ number }) {
  return number
    ? html`<a class="button ring" href=${`tel:${number.replace(/[^+\d]/g, "")}`}>${t("vet.ring", { number: number.replace(/ /g, "\u202f") })}</a>`
    : html`<a class="button" href="#/vet">${t("vet.unknown")}</a>`;
}
