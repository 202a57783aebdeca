// What a round says at its end: each pup's figure beside the last one, two that were mixed up swapped, and
// what the service finds in the litter's growth.
import { html, useState } from "../parts/html.js";
import { Cautions } from "../parts/cautions.js";
import { Collar } from "../parts/collars.js";
import { gained } from "../parts/gain.js";
import { t } from "../parts/texts.js";
import { saidOf } from "./round.js";

/**
 * @param {{ pups: import("./round.js").Pup[], entered: Record<string, import("./round.js").Entered>, growth: any,
 *   kind: import("./round.js").Kind, items: import("../parts/queue.js").Item[],
 *   swap: (one: string, other: string) => void, restart: () => void }} props
 */
export function RoundEnd({ pups, entered, growth, kind, items, swap, restart }) {
  const [first, setFirst] = useState(/** @type {string | undefined} */ (undefined));
  const said = saidOf(kind);
  const choose = (/** @type {string} */ dog) => {
    if (first && first !== dog) swap(first, dog);
    setFirst(first ? undefined : dog);
  };
  const cautions = [...growth.cautions, ...growth.pups.flatMap((/** @type {any} */ pup) => pup.cautions)];
  const told = cautions.filter((caution, place) => cautions.findIndex((other) => other.what === caution.what) === place);
  return html`<div class="round-end" data-testid="round-end">
    <h2>${t("weigh.done")}</h2>
    <p>${first ? t("weigh.swap_with") : t("weigh.swap_how")}</p>
    <ul class="figures">${pups.map((pup) => {
      const own = growth.pups.find((/** @type {any} */ one) => one.dog_id === pup.dog);
      const change = kind === "weight" ? own?.since_yesterday : undefined;
      const item = items.find((one) => one.id === entered[pup.dog]?.item);
      return html`<li key=${pup.dog} data-state=${item?.state ?? "stored"}>
        <${Collar} name=${pup.collar} fallback=${pup.label} />
        <span>${said(entered[pup.dog]?.value ?? 0)}</span>
        <span>${change ? gained(change) : ""}</span>
        <span class="mark">${t(`mark.${item?.state ?? "stored"}`)}</span>
        <button aria-pressed=${first === pup.dog} onClick=${() => choose(pup.dog)}>${t("weigh.swap")}</button>
      </li>`;
    })}</ul>
    ${kind === "weight" && html`<section><${Cautions} cautions=${told} />
      <p class="standing">${growth.advice}</p></section>`}
    <div class="deeds"><a class="button main" href="#/">${t("home.title")}</a>
      <button onClick=${restart}>${t("weigh.restart")}</button></div>
  </div>`;
}
