// What screening found of the two, what it says of what they pass on, with its error, and inbreeding that a
// laboratory measured; each typed in where it is looked for.
import { html, useState } from "../parts/html.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { useAnswer, useAnswers } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, number, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/types.d.ts").MyKennel} Kennel */
/** @typedef {import("../parts/form.js").Field} Field */
/** What breeding values can be made of. */
const TRAITS = ["hips", "elbows", "patella", "heart"];
const LEAST_ACCURACY = 0.01;
const METHODS = ["runs_of_homozygosity", "excess_homozygosity", "relationship_matrix", "other"];

/** @param {{ kennel: Kennel, dam: string, sire: string }} props */
export function Values({ kennel, dam, sire }) {
  const answers = useAnswers("/v1/kennels/{kennel_id}/breeding-values", TRAITS.map((trait) => ({ kennel_id: kennel.kennel_id, trait })), "?trait={trait}");
  return html`<${Shown} answers=${answers}>${() => {
    const told = answers.flatMap(({ data }) => (data ? [data] : [])).map((list) => ({ ...list, items: list.items.filter((one) => one.dog_id === dam || one.dog_id === sire) }))
      // Where nothing is known of either, the figures help nobody choose.
      .filter((list) => list.items.some((one) => one.accuracy >= LEAST_ACCURACY));
    return html`${told.length === 0 && html`<p>${t("values.none")}</p>`}
      ${told.map(({ model, items }) => html`<p><strong>${t(`trait.${model.trait}`)}</strong></p><ul class="lines-of">${items.map((one) => html`<li key=${one.dog_id}>
          <p>${t(one.dog_id === dam ? "values.dam" : "values.sire")} ${signed(one.breeding_value)} (${signed(one.lowest)} … ${signed(one.highest)})</p>
          <p>${one.tells}</p></li>`)}</ul>
        ${model.heritability_source && html`<p class="hint">${t("banner.source")} <span lang="en">${model.heritability_source}</span></p>`}`)}
      <p class="hint">${t("values.how")}</p>`;
  }}<//>`;
}

/** @param {number} value */
const signed = (value) => `${value < 0 ? "−" : "+"}${number(Math.abs(value), 1)}`;

/** One dog's results of screening and of the laboratory. @param {{ kennel: Kennel, dog: string }} props */
export function Measured({ kennel, dog }) {
  const at = { kennel_id: kennel.kennel_id, dog_id: dog };
  const schemes = useAnswer("/v1/kennels/{kennel_id}/screening-schemes", { kennel_id: kennel.kennel_id });
  const results = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/screening-results", at);
  const genomic = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/genomic-inbreeding", at);
  return html`<${Shown} answers=${[schemes, results, genomic]}>${() => {
    const all = schemes.data?.items ?? [];
    const name = (/** @type {string} */ key) => all.find((scheme) => scheme.key === key)?.name ?? key;
    return html`<ul class="lines-of">${results.data?.items.map((one) => html`<li key=${one.id}><strong lang="en">${name(one.scheme)}</strong>: ${[one.result, one.left_side && t("screened.left", { result: one.left_side }),
        one.right_side && t("screened.right", { result: one.right_side }), one.condition, one.examined_on && fullDate(one.examined_on), one.examiner].filter(Boolean).join(" · ")}</li>`)}
      ${genomic.data?.items.map((one) => html`<li key=${one.id}><strong>${t("genomic.title")}</strong>: ${[`${number(one.inbreeding * 100, 1)} %`, t(`genomic_method.${one.method}`), one.laboratory, one.tested_on && fullDate(one.tested_on)].filter(Boolean).join(" · ")}</li>`)}</ul>
      ${results.data?.items.length === 0 && genomic.data?.items.length === 0 && html`<p>${t("screened.none")}</p>`}
      ${writes(kennel.role) && html`<${Fold} label=${t("screened.add")}><${AddResult} kennel=${kennel.kennel_id} dog=${dog} schemes=${all} /><//>
        <${Fold} label=${t("genomic.add")}><${AddGenomic} kennel=${kennel.kennel_id} dog=${dog} /><//>`}`;
  }}<//>`;
}

/** @param {{ kennel: string, dog: string, schemes: Schema["ScreeningScheme"][] }} props */
function AddResult({ kennel, dog, schemes }) {
  const [key, setKey] = useState("");
  const scheme = schemes.find((one) => one.key === key);
  const grades = (scheme?.grades ?? []).map(({ grade }) => /** @type {[string, string]} */ ([grade, grade]));
  const result = (/** @type {string} */ name, /** @type {string} */ label) => /** @type {Field} */ ({ name, label, ...(grades.length > 0 ? { kind: "choice", options: grades } : {}) });
  const fields = /** @type {Field[]} */ ([result("result", t("screened.result")), result("left_side", t("screened.left_side")), result("right_side", t("screened.right_side")),
    ...(scheme?.names_condition ? [{ name: "condition", label: t("screened.condition") }] : []),
    { name: "examined_on", label: t("screened.on"), kind: "date" }, { name: "examiner", label: t("screened.by") }]);
  return html`<label>${t("screened.scheme")} <select class="long" value=${key} onChange=${(/** @type {any} */ event) => setKey(event.target.value)}><option value="">${t("form.choose")}</option>
      ${schemes.map((one) => html`<option value=${one.key} selected=${one.key === key} lang="en">${t(`trait.${one.trait}`)}: ${one.name}</option>`)}</select></label>
    ${scheme && html`<${Form} key=${key} kennel=${kennel} draft=${`screening/${dog}/${key}`} says="says.screening" fields=${fields}
      call=${(/** @type {any} */ body) => ({ method: "POST", path: `/dogs/${dog}/screening-results`, body: { ...body, scheme: key } })} />
      <p class="hint">${t("banner.source")} <span lang="en">${scheme.source}</span></p>`}`;
}

/** @param {{ kennel: string, dog: string }} props */
function AddGenomic({ kennel, dog }) {
  const fields = /** @type {Field[]} */ ([
    { name: "inbreeding", label: t("genomic.percent"), kind: "number", required: true },
    { name: "method", label: t("genomic.method"), kind: "choice", required: true, options: METHODS.map((one) => [one, t(`genomic_method.${one}`)]) },
    { name: "laboratory", label: t("genomic.laboratory") }, { name: "tested_on", label: t("genomic.on"), kind: "date" },
  ]);
  return html`<${Form} kennel=${kennel} draft=${`genomic/${dog}`} says="says.genomic" fields=${fields}
    call=${(/** @type {any} */ { inbreeding, ...body }) => ({ method: "POST", path: `/dogs/${dog}/genomic-inbreeding`, body: { ...body, inbreeding: inbreeding / 100 } })} />`;
}
