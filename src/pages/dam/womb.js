// The watch for an infected womb in the weeks after a heat. A sign is written with two taps, and rings.
import { html, useSignal, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { writes } from "../parts/kennel.js";
import { queue } from "../parts/kept.js";
import { useAnswer } from "../parts/read.js";
import { dayOf, fullDate, t } from "../parts/texts.js";
import { wrote } from "../parts/undo.js";

/** Findings of a reading of kind `sign` that tell of the womb. */
export const WOMB_SIGNS = ["pus", "drinks_more", "eats_less", "dull", "fever", "vomits", "swollen_belly"];

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, heat: string }} props */
export function Womb({ kennel, heat }) {
  const report = useAnswer("/v1/kennels/{kennel_id}/heats/{heat_id}/timing", { kennel_id: kennel.kennel_id, heat_id: heat });
  const items = useSignal(queue.items);
  const [open, setOpen] = useState(false);
  const watch = report.data?.womb_watch;
  if (!watch || (watch.last_on < dayOf(now()) && watch.seen.length === 0)) return null;
  const kept = items.filter(({ row, state }) => row?.kind === "heat_reading" && row.subject_id === heat && state === "kept" && WOMB_SIGNS.includes(row.record["finding"]));
  const write = (/** @type {string} */ finding) => {
    const item = queue.add({ kennel: kennel.kennel_id, says: "says.womb_sign",
      row: { kind: "heat_reading", subject_id: heat, record: { taken_at: new Date().toISOString(), kind: "sign", finding } } });
    wrote(t("says.womb_sign"), [item]);
    setOpen(false);
  };
  return html`<div class="womb"><h3>${t("womb.title")}</h3>
    <p>${t("womb.days", { from: fullDate(watch.first_on), to: fullDate(watch.last_on) })}</p>
    ${watch.is_open && html`<p>${watch.look_for}</p>`}
    ${watch.seen.length > 0 && html`<ul class="lines-of">${watch.seen.map((one) => html`<li key=${`${one.sign} ${one.seen_on}`}><strong>${fullDate(one.seen_on)}</strong> ${t(`finding.${one.sign}`)}</li>`)}</ul>`}
    ${kept.map((item) => html`<p key=${item.id} class="mark">${t(`finding.${item.row?.record["finding"]}`)} · ${t("mark.kept")}</p>`)}
    ${watch.is_open && writes(kennel.role) && html`<p><button aria-expanded=${open} onClick=${() => setOpen(!open)}>${t("womb.sign")}</button></p>
      ${open && html`<div class="taps" role="group" aria-label=${t("womb.sign")}>${WOMB_SIGNS.map((one) => html`<button key=${one} onClick=${() => write(one)}>${t(`finding.${one}`)}</button>`)}</div>`}`}
    <p class="hint">${t("banner.source")} <span lang="en">${watch.source}</span></p></div>`;
}
