// Her matings, their ties, and what the checks after them said.
import { html } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, localAt, moment, number, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/types.d.ts").MyKennel} Kennel */
/** @typedef {import("../parts/form.js").Field} Field */

/** @param {string} group @param {string[]} all @returns {[string, string][]} */
const words = (group, all) => all.map((one) => [one, t(`${group}.${one}`)]);
/** @param {{ call_name: string | null, name: string | null } | undefined} dog */
const called = (dog) => dog?.call_name ?? dog?.name ?? "–";

/** @param {{ kennel: Kennel, dog: string, litters: Schema["KeptLitter"][] }} props */
export function Matings({ kennel, dog, litters }) {
  const own = { kennel_id: kennel.kennel_id };
  const matings = useAnswer("/v1/kennels/{kennel_id}/matings", own, `?dam_id=${dog}&limit=100`);
  const sires = useAnswer("/v1/kennels/{kennel_id}/dogs", own, "?sex=male&limit=500");
  const heats = useAnswer("/v1/kennels/{kennel_id}/heats", own, `?dog_id=${dog}&limit=100`);
  return html`<section aria-labelledby="matings"><h2 id="matings">${t("mated.title")}</h2>
    <${Shown} answers=${[matings, sires, heats]}>${() => {
      const all = [...(matings.data?.items ?? [])].sort((a, b) => dayOf(b).localeCompare(dayOf(a)));
      const breeding = (sires.data?.items ?? []).filter((sire) => sire.for_breeding);
      const heat = [...(heats.data?.items ?? [])].sort((a, b) => b.began_on.localeCompare(a.began_on))[0];
      const fields = /** @type {Field[]} */ ([
        { name: "sire_id", label: t("mated.sire"), kind: "choice", required: true, options: breeding.map((sire) => [sire.id, called(sire)]) },
        { name: "method", label: t("mated.method"), kind: "choice", required: true, options: words("method", ["natural", "fresh", "chilled", "frozen"]) },
        { name: "tie", label: t("mated.at"), kind: "moment", required: true },
        { name: "note", label: t("event.note"), kind: "lines" },
      ]);
      return html`${all.length === 0 && html`<p>${t("mated.none")}</p>`}
        <ul>${all.map((mating, place) => html`<li class="card" key=${mating.id}><${Mating} kennel=${kennel} mating=${mating} isLast=${place === 0} hasLitter=${litters.some((litter) => litter.mating_id === mating.id)}
          sire=${called(sires.data?.items.find((one) => one.id === mating.sire_id))} /></li>`)}</ul>
        ${writes(kennel.role) && heat && html`<${Fold} label=${t("mated.add")}><p>${t("mated.heat", { day: fullDate(heat.began_on) })}</p>
          <${Form} kennel=${kennel.kennel_id} draft=${`mating/${dog}`} says="says.mating" fields=${fields} first=${{ tie: localAt(now()) }}
            row=${(/** @type {any} */ { tie, ...record }) => ({ kind: "mating", subject_id: dog, record: { ...record, heat_id: heat.id, status: "done", ties: [{ happened_at: tie }] } })} /><//>`}`;
    }}<//></section>`;
}

/** @param {Schema["KeptMating"]} mating */
const dayOf = (mating) => mating.ties[0]?.happened_at.slice(0, 10) ?? mating.planned_on ?? "";

/** @param {{ kennel: Kennel, mating: Schema["KeptMating"], sire: string, isLast: boolean, hasLitter: boolean }} props */
function Mating({ kennel, mating, sire, isLast, hasLitter }) {
  const checks = useAnswer("/v1/kennels/{kennel_id}/matings/{mating_id}/pregnancy-checks", { kennel_id: kennel.kennel_id, mating_id: mating.id });
  const path = `/matings/${mating.id}`;
  const tie = /** @type {Field[]} */ ([{ name: "happened_at", label: t("mated.at"), kind: "moment", required: true }]);
  return html`<h3>${sire} · ${t(`mating_status.${mating.status}`)}</h3>
    <p>${[t(`method.${mating.method}`), mating.planned_on ? t("mated.planned", { day: fullDate(mating.planned_on) }) : ""].filter(Boolean).join(" · ")}</p>
    ${mating.ties.length > 0 && html`<p>${t("mated.ties")} ${mating.ties.map((one) => moment(one.happened_at, now())).join("; ")}</p>`}
    ${mating.note && html`<p>${mating.note}</p>`}
    ${checks.data && checks.data.items.length > 0 && html`<ul class="lines-of">${checks.data.items.map((check) => html`<li key=${check.id}><strong>${moment(check.checked_at, now())}</strong>
      ${" "}${[t(`preg.${check.method}`), t(`preg_result.${check.result}`), counted(check), ...seen(check), ...check.measures.map((one) => `${t(`measure.${one.kind}`)} ${number(one.value_mm, 1)} mm`),
        check.due_on ? t("mated.due_told", { day: fullDate(check.due_on) }) : "", check.note ?? ""].filter(Boolean).join(" · ")}</li>`)}</ul>`}
    ${isLast && writes(kennel.role) && mating.status !== "called_off" && html`
      <${Fold} label=${t("mated.tie")}><${Form} kennel=${kennel.kennel_id} draft=${`tie/${mating.id}`} says="says.mating" fields=${tie} first=${{ happened_at: localAt(now()) }}
        call=${(/** @type {any} */ one) => ({ method: "PATCH", path, seen: true, body: { status: "done", ties: [...mating.ties, one] } })} /><//>
      ${mating.status === "done" && !hasLitter && html`<${Expect} kennel=${kennel.kennel_id} mating=${mating.id} />`}
      ${mating.status === "done" && html`<${Check} kennel=${kennel.kennel_id} mating=${mating.id} />`}
      ${mating.status === "planned" && html`<${Fold} label=${t("mated.call_off")}><${Form} kennel=${kennel.kennel_id} draft=${`off/${mating.id}`} says="says.mating" fields=${[]} button=${t("mated.call_off")}
        call=${() => ({ method: "PATCH", path, seen: true, body: { status: "called_off" } })} /><//>`}`}`;
}

/** @param {Schema["KeptPregnancyCheck"]} check */
function counted({ count_at_least: least, count_at_most: most }) {
  if (typeof least !== "number") return "";
  return typeof most === "number" ? t("mated.count_range", { range: least === most ? least : `${least}–${most}` }) : t("mated.count_least", { least });
}

/** Hearts that beat, pups that were being resorbed, and how a pregnancy was lost. @param {Schema["KeptPregnancyCheck"]} check */
const seen = ({ heartbeats, resorptions, lost_how: lost }) => [typeof heartbeats === "number" ? t("mated.hearts", { count: heartbeats }) : "",
  resorptions ? t("mated.resorbed", { count: resorptions }) : "", lost ? t(`lost_how.${lost}`) : ""];

/** @param {{ kennel: string, mating: string }} props */
function Check({ kennel, mating }) {
  const fields = /** @type {Field[]} */ ([
    { name: "checked_at", label: t("mated.checked_at"), kind: "moment", required: true },
    { name: "method", label: t("mated.how"), kind: "choice", required: true, options: words("preg", ["palpation", "ultrasound", "xray", "hormone"]) },
    { name: "result", label: t("mated.result"), kind: "choice", required: true, options: words("preg_result", ["pregnant", "not_pregnant", "unclear", "lost"]) },
    { name: "count_at_least", label: t("mated.least"), kind: "number" },
    { name: "count_at_most", label: t("mated.most"), kind: "number" },
    { name: "heartbeats", label: t("mated.heartbeats"), kind: "number" },
    { name: "resorptions", label: t("mated.resorptions"), kind: "number" },
    { name: "lost_how", label: t("mated.lost_how"), kind: "choice", options: words("lost_how", ["resorbed", "aborted", "unknown"]), hint: t("mated.lost_hint") },
    { name: "inner_chorionic_cavity", label: `${t("measure.inner_chorionic_cavity")}, mm`, kind: "number" },
    { name: "biparietal", label: `${t("measure.biparietal")}, mm`, kind: "number" },
    { name: "due_on", label: t("mated.due_on"), kind: "date" },
    { name: "note", label: t("event.note"), kind: "lines" },
  ]);
  const measured = (/** @type {any} */ { inner_chorionic_cavity: cavity, biparietal, ...body }) => ({ ...body,
    measures: Object.entries({ inner_chorionic_cavity: cavity, biparietal }).filter(([, value]) => value !== undefined).map(([kind, value_mm]) => ({ kind, value_mm })) });
  return html`<${Fold} label=${t("mated.check")}><${Form} kennel=${kennel} draft=${`check/matings/${mating}`} says="says.check" fields=${fields} first=${{ checked_at: localAt(now()) }}
    row=${(/** @type {any} */ record) => ({ kind: "pregnancy_check", subject_id: mating, record: measured(record) })} /><//>`;
}

/** @param {{ kennel: string, mating: string }} props */
function Expect({ kennel, mating }) {
  const places = useAnswer("/v1/kennels/{kennel_id}/places", { kennel_id: kennel }, "?limit=100");
  const fields = /** @type {Field[]} */ ([{ name: "name", label: t("mated.litter_name"), required: true },
    { name: "place_id", label: t("mated.place"), kind: "choice", options: (places.data?.items ?? []).map((place) => [place.id, place.name]) }]);
  return html`<${Fold} label=${t("mated.expect")}><p>${t("mated.expect_how")}</p><${Form} kennel=${kennel} draft=${`expect/${mating}`} says="says.expect" fields=${fields}
    call=${(/** @type {any} */ body) => ({ method: "POST", path: "/litters", body: { ...body, mating_id: mating } })} /><//>`;
}
