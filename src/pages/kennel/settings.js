// In what the kennel reads weights and temperatures, on its pages and prints.
import { html } from "../parts/html.js";
import { Fold, Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { t } from "../parts/texts.js";

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Units({ kennel }) {
  const particulars = useAnswer("/v1/kennels/{kennel_id}", { kennel_id: kennel.kennel_id });
  const weights = ["g", "kg", "lb_oz"].map((one) => [one, t(`weight_unit.${one}`)]);
  const temperatures = ["c", "f"].map((one) => [one, t(`temperature_unit.${one}`)]);
  const fields = /** @type {import("../parts/form.js").Field[]} */ ([
    { name: "weight_unit", label: t("units.weight"), kind: "choice", required: true, options: weights },
    { name: "temperature_unit", label: t("units.temperature"), kind: "choice", required: true, options: temperatures },
  ]);
  return html`<${Fold} label=${t("units.title")}><${Shown} answers=${[particulars]}>${() => {
    const { weight_unit, temperature_unit } = /** @type {import("../parts/types.d.ts").Schema["KeptKennel"]} */ (particulars.data);
    return html`<${Form} kennel=${kennel.kennel_id} draft="units" says="says.kennel" fields=${fields} change=${true}
      first=${{ weight_unit, temperature_unit }} call=${(/** @type {any} */ body) => ({ method: "PATCH", path: "", seen: true, body })} />`;
  }}<//><//>`;
}
