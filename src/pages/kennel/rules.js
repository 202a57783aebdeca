// The rules that advice rests on, with their sources, and the kennel's own values; and the health plans.
import { html, useState } from "../parts/html.js";
import { Fold, Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Recall } from "../parts/recall.js";
import { Shown } from "../parts/states.js";
import { number, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
/** So many stand below a search. */
const MOST = 20;

/** @param {{ kennel: MyKennel }} props */
export function Rules({ kennel }) {
  const own = { kennel_id: kennel.kennel_id };
  const rules = useAnswer("/v1/kennels/{kennel_id}/rules", own);
  const overrides = useAnswer("/v1/kennels/{kennel_id}/rules/overrides", own, "?limit=500");
  const [words, setWords] = useState("");
  return html`<section aria-labelledby="rules"><h2 id="rules">${t("rules.title")}</h2>
    <${Shown} answers=${[rules, overrides]}>${() => {
      const all = rules.data?.items ?? [];
      const set = new Map((overrides.data?.items ?? []).map((one) => [one.key, one]));
      const wanted = words.toLowerCase();
      const found = all.filter(({ key, rule }) => (wanted ? `${key} ${rule.meaning}`.toLowerCase().includes(wanted) : set.has(key)));
      return html`<label>${t("rules.search", { count: all.length })}<input type="search" class="long" value=${words} onInput=${(/** @type {any} */ event) => setWords(event.target.value)} /></label>
        <p role="status">${wanted ? t("rules.found", { count: found.length }) : t("rules.own", { count: set.size })}</p>
        <ul>${found.slice(0, MOST).map(({ key, rule }) => html`<li key=${key}><${OneRule} kennel=${kennel} name=${key} rule=${rule} own=${set.get(key)} /></li>`)}</ul>
        ${found.length > MOST && html`<p>${t("rules.more", { count: found.length - MOST })}</p>`}`;
    }}<//></section>`;
}

/** @param {{ kennel: MyKennel, name: string, rule: Schema["Rule"], own: Schema["KeptRuleOverride"] | undefined }} props */
function OneRule({ kennel, name, rule, own }) {
  const path = own ? `/rules/overrides/${own.id}` : "/rules/overrides";
  const figure = (/** @type {number} */ value) => `${number(value, Number.isInteger(value) ? 0 : 2)} ${rule.unit}`;
  return html`<${Fold} label=${html`<span class="lines"><strong>${rule.meaning}</strong><span>${figure(rule.value)}</span></span>`}>
    <p class="hint" lang="en">${name} · ${rule.confirmation.replace(/_/g, " ")}</p>
    <p>${t("banner.source")} <span lang="en">${rule.source}</span></p>
    <p>${t("rules.range", { min: figure(rule.min), max: figure(rule.max) })}</p>
    ${kennel.role === "owner" && html`<${Form} kennel=${kennel.kennel_id} draft=${`rule/${name}`} says="says.rule" first=${{ value: String(rule.value), source: own?.source ?? "" }}
      fields=${[{ name: "value", label: t("rules.value", { unit: rule.unit }), kind: "number", required: true }, { name: "source", label: t("rules.why"), required: true }]}
      call=${(/** @type {any} */ body) => (own ? { method: "PATCH", path, seen: true, body } : { method: "POST", path, body: { ...body, key: name } })} />
      ${own && html`<${Form} kennel=${kennel.kennel_id} draft=${`rule-off/${name}`} says="says.rule" fields=${[]} button=${t("rules.usual")} call=${() => ({ method: "DELETE", path, seen: true })} />`}`}<//>`;
}

/** @param {{ kennel: MyKennel }} props */
export function Plans({ kennel }) {
  const own = { kennel_id: kennel.kennel_id };
  const standard = useAnswer("/v1/kennels/{kennel_id}/health-plans/standard", own);
  const mine = useAnswer("/v1/kennels/{kennel_id}/health-plans", own, "?limit=100");
  return html`<section aria-labelledby="plans"><h2 id="plans">${t("plans.title")}</h2>
    <${Shown} answers=${[standard, mine]}>${() => {
      const kept = mine.data?.items ?? [];
      const others = (standard.data?.items ?? []).filter((plan) => !kept.some((one) => one.key === plan.key));
      return html`<ul>${[...kept, ...others].map((plan) => html`<li key=${plan.key}>
        <${Fold} label=${html`<span class="lines"><strong>${plan.name}</strong><span>${kept.some((one) => one.key === plan.key) ? t("plans.own") : plan.default ? t("plans.default") : t("plans.choice")}</span></span>`}>
          <p>${t("banner.source")} <span lang="en">${plan.source}</span></p>
          <ol class="lines-of">${plan.steps.map((step) => html`<li key=${step.key}><p><strong>${step.name}</strong></p>
            <p>${t("plans.days", { from: step.earliest_days, ideal: step.ideal_days, to: step.latest_days })}</p>
            ${step.note && html`<p>${step.note}</p>`}<p class="hint">${t("banner.source")} <span lang="en">${step.source}</span></p></li>`)}</ol><//></li>`)}</ul>`;
    }}<//>
    <${Fold} label=${t("recall.title")}><${Recall} kennel=${kennel.kennel_id} /><//></section>`;
}
