// A round of weighing, temperatures or feeds: pup by pup in the order of the collars, the last figure and what
// is expected beside it, a pad, a question on a slip before the next pup, and what the service says at the end.
import { html, useEffect, useSignal, useState } from "../parts/html.js";
import { reached } from "../parts/api.js";
import { now } from "../parts/clock.js";
import { Collar } from "../parts/collars.js";
import { fate } from "../parts/fate.js";
import { Frame } from "../parts/frame.js";
import { correct, queue, undo } from "../parts/kept.js";
import { isQuestion } from "../parts/queue.js";
import { useAnswer } from "../parts/read.js";
import { Shown, State } from "../parts/states.js";
import { dayOf, moment, t } from "../parts/texts.js";
import { weight } from "../parts/units.js";
import { wrote } from "../parts/undo.js";
import { Pad } from "./pad.js";
import { Question } from "./question.js";
import { RoundEnd } from "./round-end.js";
import { KINDS, fresh, goesOn, keepRound, next, order, press, resume, saidOf, typingOf, valueOf } from "./round.js";

/** @typedef {import("./round.js").Kind} Kind */
/** @typedef {import("./round.js").Pup} Pup */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, id: string }} props */
export function Weigh({ kennel, id }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: id };
  const day = dayOf(now());
  const litter = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}", at);
  const births = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/births", at, "?limit=100");
  const growth = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/growth", at, `?forecast_until=${day}`);
  const particulars = useAnswer("/v1/kennels/{kennel_id}", { kennel_id: kennel.kennel_id });
  const title = t("weigh.of", { litter: litter.data?.name ?? "" });
  return html`<${Frame} title=${title} kennel=${kennel.kennel_id} litter=${id} tight=${true}>
    <${Shown} answers=${[growth, births, particulars]}>${() => {
      const pups = order(growth.data?.pups ?? [], births.data?.items ?? [], particulars.data?.collars ?? []);
      return pups.length === 0 ? html`<${State} state="empty" />`
        : html`<${Rounds} kennel=${kennel.kennel_id} litter=${id} day=${day} pups=${pups} growth=${growth.data} />`;
    }}<//>
  <//>`;
}

/** @param {{ kennel: string, litter: string, day: string, pups: Pup[], growth: any }} props */
function Rounds(props) {
  const [kind, setKind] = useState(/** @type {Kind} */ ("weight"));
  return html`<${Round} key=${kind} ...${props} kind=${kind} />
    <div class="row kinds" role="group" aria-label=${t("weigh.what")}>${Object.keys(KINDS).map((one) =>
      html`<button aria-pressed=${one === kind} onClick=${() => setKind(/** @type {Kind} */ (one))}>${t(`weigh.${one}`)}</button>`)}</div>`;
}

/** What the service expects of a pup today. @param {import("../parts/types.d.ts").Schema["LitterForecast"] | null | undefined} forecast @param {string} dog @param {string} day */
function expected(forecast, dog, day) {
  return forecast?.pups.find((pup) => pup.dog_id === dog)?.days.find((one) => one.expected_on === day);
}

/** @param {{ kennel: string, litter: string, day: string, pups: Pup[], growth: any, kind: Kind }} props */
function Round({ kennel, litter, day, pups, growth, kind }) {
  const { field, when, low, high } = KINDS[kind];
  const typing = typingOf(kind);
  const said = saidOf(kind);
  const items = useSignal(queue.items);
  const [round, setRound] = useState(() => resume(litter, kind, day, now()));
  const [asking, setAsking] = useState(/** @type {{ dog: string, value: number, item?: string } | undefined} */ (undefined));
  const [busy, setBusy] = useState(false);
  useEffect(() => { keepRound(litter, kind, round); }, [round]);
  // A page that lay open over night begins the new day's round.
  useEffect(() => { if (!goesOn(round, day, now())) setRound(fresh(day, now())); });
  // A refusal that came late, as after a time without a network, is asked about before going on.
  const asked = (/** @type {Pup} */ pup) => items.some((item) => item.id === round.entered[pup.dog]?.item && isQuestion(item));
  const late = pups.find((pup) => asked(pup) && !round.entered[pup.dog]?.meant);
  const wrong = late && round.entered[late.dog];
  // What was meant already when the service asks is not asked about again.
  useEffect(() => {
    for (const pup of pups) {
      const entered = round.entered[pup.dog];
      if (entered?.meant && asked(pup)) queue.mend(entered.item, { confirmed: true });
    }
  }, [items]);
  /** @type {{ dog: string, value: number, item?: string } | undefined} */
  const question = asking ?? (late && wrong ? { dog: late.dog, value: wrong.value, item: wrong.item } : undefined);
  const dog = question?.dog ?? (round.at && !round.entered[round.at] ? round.at : next(pups, round.entered));
  const pup = pups.find((one) => one.dog === dog);
  const last = growth.pups.find((/** @type {any} */ one) => one.dog_id === dog)?.last;
  const range = kind === "weight" && dog ? expected(growth.forecast, dog, day) : undefined;

  const write = async (/** @type {number} */ value, confirmed = false) => {
    if (!pup) return;
    const record = { [when]: new Date().toISOString(), [field]: value, ...(confirmed ? { confirmed } : {}) };
    const item = queue.add({ kennel, says: `weigh.${kind}`, row: { kind, subject_id: pup.dog, record } });
    const within = kind !== "weight" || confirmed || (range && value >= range.low_g && value <= range.high_g);
    setRound((was) => ({ ...was, last: now(), typed: "", entered: { ...was.entered, [pup.dog]: { value, item: item.id } } }));
    wrote(t("wrote", { what: said(value) }), [item]);
    if (within) return;
    // Not what is expected: the service says whether that is a slip, before the next pup's turn.
    setBusy(true);
    const became = await fate(item.id);
    setBusy(false);
    // Where the service does not answer in time, the page asks by what it was told to expect.
    const isAsked = became.item ? isQuestion(became.item) : became.how === "waits" && range;
    if (isAsked) setAsking({ dog: pup.dog, value, item: item.id });
  };
  const confirm = () => {
    const value = typing.kept(valueOf(round.typed));
    if (!pup || busy || question || !(value >= low && value <= high)) return;
    const far = range && (value < range.low_g || value > range.high_g);
    if (kind === "weight" && far && !reached.peek()) setAsking({ dog: pup.dog, value });
    else write(value);
  };
  /** What was written, whether it lies here still or has arrived. @param {string} id @param {string} subject_id */
  const written = (id, subject_id) => items.find((one) => one.id === id) ?? { id, person: "", kennel, at: 0,
    state: /** @type {const} */ ("kept"), tried: true, why: [], says: "", row: { id, kind, subject_id, record: {} } };
  const meant = () => {
    if (!question) return;
    setAsking(undefined);
    if (!question.item) write(question.value, true);
    else if (!queue.mend(question.item, { confirmed: true })) {
      const { dog, value, item } = question;
      setRound((was) => ({ ...was, entered: { ...was.entered, [dog]: { value, item, meant: true } } }));
    }
  };
  const again = () => {
    if (!question) return;
    if (question.item) undo(written(question.item, question.dog));
    setAsking(undefined);
    setRound((was) => {
      const { [question.dog]: _, ...entered } = was.entered;
      return { ...was, entered, at: question.dog, typed: "" };
    });
  };
  const swap = (/** @type {string} */ one, /** @type {string} */ other) => {
    const [a, b] = [round.entered[one], round.entered[other]];
    if (!a || !b) return;
    for (const [to, dogId, value] of /** @type {[import("./round.js").Entered, string, number][]} */ ([[a, one, b.value], [b, other, a.value]])) {
      correct(written(to.item, dogId), { [field]: value });
    }
    setRound((was) => ({ ...was, entered: { ...was.entered, [one]: { ...a, value: b.value }, [other]: { ...b, value: a.value } } }));
  };
  const restart = () => setRound(fresh(day, now()));

  if (question && pup) {
    const why = items.find((item) => item.id === question.item)?.why ?? [];
    return html`<${Question} pup=${pup} value=${said(question.value)} why=${why} last=${last} range=${range} meant=${meant} again=${again} />`;
  }
  if (!pup) {
    return html`<${RoundEnd} pups=${pups} entered=${round.entered} growth=${growth} kind=${kind} items=${items} swap=${swap} restart=${restart} />`;
  }
  const later = () => setRound((was) => ({ ...was, at: next(pups, was.entered, pup.dog), typed: "" }));
  const place = pups.filter((one) => round.entered[one.dog]).length + 1;
  return html`<div class="weigh">
    <p class="turn" data-testid="turn"><span aria-live="polite"><${Collar} name=${pup.collar} fallback=${pup.label} /></span>
      <span class="place">${place}/${pups.length}</span>
      <button onClick=${later}>${t("weigh.skip")}</button></p>
    <p class="beside">${kind === "weight" && (last
      ? t("weigh.last", { weight: weight(last.weight_g), at: moment(last.measured_at, now()) }) : t("weigh.first"))}
      ${range && html`<span> ${t("weigh.expected", { low: weight(range.low_g), high: weight(range.high_g) })}</span>`}</p>
    <p class="typed"><output aria-label=${t(`weigh.${kind}`)}>${round.typed || "–"}</output> ${typing.unit}</p>
    <${Pad} decimal=${typing.digits > 0} busy=${busy} confirm=${confirm}
      press=${(/** @type {string} */ key) => setRound((was) => ({ ...was, typed: press(was.typed, key, typing.digits) }))} />
  </div>`;
}
