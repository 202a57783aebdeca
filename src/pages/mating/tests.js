// The tests before a mating: which of them there are, how old each is on the day, and a result written down.
import { html } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { now } from "../parts/clock.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, localAt, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/types.d.ts").MyKennel} Kennel */
/** Shape beside the word. */
const MARK = { met: "✓", outdated: "✗", positive: "✗", unclear: "?", missing: "?" };

/** Of one of the two alone. @param {{ kennel: Kennel, of: "dam" | "sire", dog: string, on: string }} props `on`: day of mating; today when empty */
export function Tests({ kennel, of, dog, on }) {
  const tests = useAnswer("/v1/kennels/{kennel_id}/mating-tests", { kennel_id: kennel.kennel_id }, `?${of}_id=${dog}${on ? `&mated_on=${on}` : ""}`);
  return html`<${Shown} answers=${[tests]}>${() => {
    const all = tests.data?.[of]?.tests ?? [];
    const needed = all.filter((test) => test.needed);
    const lines = (/** @type {Schema["TestBeforeMating"][]} */ some) => html`<ul class="lines-of">${some.map((test) => html`<li key=${test.series}><${OneTest} kennel=${kennel} dog=${dog} test=${test} /></li>`)}</ul>`;
    return html`<${Cautions} cautions=${tests.data?.cautions ?? []} />
      <p><strong>${t("tests.met", { met: needed.filter((test) => test.standing === "met").length, all: needed.length })}</strong></p>
      ${lines(needed)}
      ${needed.length < all.length && html`<${Fold} label=${t("tests.offered", { count: all.length - needed.length })}>${lines(all.filter((test) => !test.needed))}<//>`}
      <p class="standing">${tests.data?.standing_line}</p>`;
  }}<//>`;
}

/** @param {{ kennel: Kennel, dog: string, test: Schema["TestBeforeMating"] }} props */
function OneTest({ kennel, dog, test }) {
  const said = [t(`test_standing.${test.standing}`), test.tested_on ? t("tests.on", { day: fullDate(test.tested_on) }) : "",
    typeof test.age_days === "number" ? t("tests.age", { count: test.age_days }) : "", test.good_until ? t("tests.until", { day: fullDate(test.good_until) }) : ""].filter(Boolean).join(" · ");
  return html`<p><strong>${MARK[test.standing]} <span>${test.name}</span></strong>: ${said}</p>
    <p>${test.why}</p><p class="hint">${t("banner.source")} <span lang="en">${test.source}</span></p>
    ${writes(kennel.role) && html`<${Fold} label=${t("tests.write")}><${Form} kennel=${kennel.kennel_id} draft=${`test/${dog}/${test.series}`} says="says.test" first=${{ given_at: localAt(now()) }}
      fields=${[{ name: "result", label: t("tests.result"), kind: "choice", options: ["negative", "positive", "unclear"].map((one) => [one, t(`test_result.${one}`)]), hint: t("tests.done") },
        { name: "given_at", label: t("tests.when"), kind: "moment", required: true }, { name: "given_by", label: t("tests.by") }, { name: "note", label: t("event.note") }]}
      row=${(/** @type {any} */ record) => ({ kind: "health_event", subject_id: dog, record: { ...record, dog_id: dog, kind: "test", series: test.series } })} /><//>`}`;
}
