// How she is after the birth: what to heed, what was not looked at, and a check to write.
import { html, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Cautions } from "../parts/cautions.js";
import { Fold } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { queue } from "../parts/kept.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { moment, t } from "../parts/texts.js";
import { temperatureTyping, warmth } from "../parts/units.js";
import { wrote } from "../parts/undo.js";
import { Weeks } from "./weeks.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
const CHOICES = /** @type {[string, string[]][]} */ ([
  ["glands", ["normal", "engorged", "hot_painful_hard", "bad_milk"]],
  ["discharge", ["clear", "green_black", "red_brown", "bright_red", "foul"]],
  ["discharge_amount", ["spotting", "more"]],
]);
const SIGNS = ["restless", "panting", "stiff_gait", "tremor", "fits", "dull", "neglects_pups", "collapse", "face_rubbing", "drooling", "no_milk", "prolapse", "vomiting", "pale_gums"];

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: Schema["KeptLitter"] }} props */
export function After({ kennel, litter }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: litter.id };
  const health = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/dam-health", at);
  const checks = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/dam-checks", at, "?limit=200");
  const id = `after-${litter.id}`;
  return html`<section aria-labelledby=${id}><h2 id=${id}>${t("after.title", { litter: litter.name ?? t("litter.unnamed") })}</h2>
    <${Shown} answers=${[health, checks]}>${() => html`
      <${Cautions} cautions=${health.data?.cautions ?? []} />
      <p>${[t("after.days", { count: health.data?.days_after_birth ?? 0 }), typeof health.data?.last_temperature_c === "number" ? warmth(health.data.last_temperature_c) : "",
        t("after.fever", { limit: warmth(health.data?.fever_limit_c ?? 0) })].filter(Boolean).join(" · ")}</p>
      ${health.data && html`<${Weeks} weeks=${health.data.puerperium} />`}
      ${(health.data?.lacks.length ?? 0) > 0 && html`<p>${t("after.lacks")} <span>${health.data?.lacks.join("; ")}</span>.</p>`}
      ${writes(kennel.role) && html`<${Fold} label=${t("after.check")}><${Check} kennel=${kennel.kennel_id} litter=${litter.id} /><//>`}
      <ul class="lines-of">${[...(checks.data?.items ?? [])].reverse().map((check) => html`<li key=${check.id}><strong>${moment(check.checked_at, now())}</strong> ${said(check)}</li>`)}</ul>
      <p class="standing">${health.data?.advice}</p>`}<//></section>`;
}

/** @param {Schema["KeptDamCheck"]} check */
function said(check) {
  return [typeof check.temperature_c === "number" ? warmth(check.temperature_c) : "", check.glands ? t(`glands.${check.glands}`) : "",
    check.discharge ? t(`discharge.${check.discharge}`) : "", check.discharge_amount ? t(`discharge_amount.${check.discharge_amount}`) : "",
    check.eats === null ? "" : t(check.eats ? "after.eats" : "after.eats_not"), check.pups_cry ? t("after.pups_cry") : "",
    ...check.signs.map((one) => t(`dam_sign.${one}`)), check.note ?? ""].filter(Boolean).join(" · ");
}

/** What is not looked at is left out. @param {{ kennel: string, litter: string }} props */
function Check({ kennel, litter }) {
  const [record, setRecord] = useState(/** @type {Record<string, any>} */ ({}));
  const [warm, setWarm] = useState("");
  // A second tap takes a choice back.
  const set = (/** @type {string} */ name, /** @type {any} */ value) => setRecord((was) => ({ ...was, [name]: was[name] === value ? undefined : value }));
  const sign = (/** @type {string} */ one) => setRecord((was) => {
    const signs = was["signs"] ?? [];
    return { ...was, signs: signs.includes(one) ? signs.filter((/** @type {string} */ each) => each !== one) : [...signs, one] };
  });
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const temperature = temperatureTyping().kept(Number(warm.replace(",", ".")));
    const given = { ...record, ...(warm.trim() && Number.isFinite(temperature) ? { temperature_c: temperature } : {}) };
    if (Object.keys(given).length === 0) return;
    const item = queue.add({ kennel, says: "says.dam_check", row: { kind: "dam_check", subject_id: litter, record: { checked_at: new Date().toISOString(), ...given } } });
    wrote(t("says.dam_check"), [item]);
    setRecord({});
    setWarm("");
  };
  const button = (/** @type {string} */ name, /** @type {any} */ value, /** @type {string} */ words) =>
    html`<button type="button" aria-pressed=${record[name] === value} onClick=${() => set(name, value)}>${words}</button>`;
  return html`<form class="fields" onSubmit=${send}>
    <label>${t("night.temperature", { unit: temperatureTyping().unit })}<input inputmode="decimal" autocomplete="off" value=${warm} onInput=${(/** @type {any} */ event) => setWarm(event.target.value)} /></label>
    <fieldset><legend>${t("after.eats_q")}</legend><div class="row">${button("eats", true, t("after.eats"))}${button("eats", false, t("after.eats_not"))}</div></fieldset>
    ${CHOICES.map(([name, values]) => html`<fieldset key=${name}><legend>${t(`after.${name}`)}</legend><div class="row">
      ${values.map((value) => button(name, value, t(`${name}.${value}`)))}</div></fieldset>`)}
    <fieldset><legend>${t("after.signs")}</legend><div class="row">${SIGNS.map((one) =>
      html`<button type="button" key=${one} aria-pressed=${(record["signs"] ?? []).includes(one)} onClick=${() => sign(one)}>${t(`dam_sign.${one}`)}</button>`)}
      ${button("pups_cry", true, t("after.pups_cry"))}</div></fieldset>
    <button class="main">${t("keep")}</button>
  </form>`;
}
