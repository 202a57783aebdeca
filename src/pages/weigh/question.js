// A figure that looks like a slip: asked about before the next pup's turn, with what the service expects.
import { html, useLayoutEffect, useRef } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Collar } from "../parts/collars.js";
import { moment, t } from "../parts/texts.js";
import { weight } from "../parts/units.js";

/** What is asked, without how a program would answer: here there is a button for that. @param {string} detail */
const asked = (detail) => detail.replace(/ [^.?!]*"confirmed": true[^.?!]*\.$/, "");

/**
 * @param {{ pup: import("./round.js").Pup, value: string, why: { detail: string }[], meant: () => void, again: () => void,
 *   last: { weight_g: number, measured_at: string } | undefined, range: { low_g: number, high_g: number } | undefined }} props
 */
export function Question({ pup, value, why, last, range, meant, again }) {
  const first = useRef(/** @type {HTMLElement | null} */ (null));
  useLayoutEffect(() => { first.current?.focus(); }, []);
  return html`<section class="panel question" role="alertdialog" aria-labelledby="question" data-testid="question">
    <h2 id="question">${t("weigh.question", { value })}</h2>
    <p class="turn"><${Collar} name=${pup.collar} fallback=${pup.label} /></p>
    ${last && html`<p>${t("weigh.last", { weight: weight(last.weight_g), at: moment(last.measured_at, now()) })}
      ${range && html` ${t("weigh.expected", { low: weight(range.low_g), high: weight(range.high_g) })}`}</p>`}
    ${why.map((fault) => html`<p>${asked(fault.detail)}</p>`)}
    <div class="taps">
      <button class="main" ref=${first} onClick=${again}>${t("weigh.again")}</button>
      <button onClick=${meant}>${t("weigh.meant", { value })}</button>
    </div>
  </section>`;
}
