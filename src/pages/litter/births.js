// The births in their order; a tap on one opens it to add to, correct or take back.
import { html, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Collar, collarName } from "../parts/collars.js";
import { writes } from "../parts/kennel.js";
import { route } from "../parts/router.js";
import { moment, t } from "../parts/texts.js";
import { weight } from "../parts/units.js";
import { Pup } from "../night/birth.js";

/** @typedef {import("../parts/types.d.ts").Schema["KeptBirth"]} Birth */

/** A pup's name: what the service calls it, unless that is its collar or its place. @param {Birth} pup @param {string} [told] */
function nameOf(pup, told) {
  return told && told !== `${pup.collar} collar` && told !== `pup ${pup.ordinal}` ? told : pup.name;
}

/** What a pup is called: its name, else its collar, else its place. @param {Birth} pup @param {string} [told] by the service */
export function labelOf(pup, told) {
  return nameOf(pup, told) ?? (pup.collar ? collarName(pup.collar) : t("litter.pup", { place: pup.ordinal }));
}

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: string, pups: Birth[], told: Record<string, string> }} props `told`: what the service calls each */
export function Births({ kennel, litter, pups, told }) {
  // A label on a collar names its pup.
  const [open, setOpen] = useState(() => pups.find((pup) => pup.dog_id === route.peek().part)?.id ?? "");
  const chosen = writes(kennel.role) ? pups.find((pup) => pup.id === open) : undefined;
  return html`<section aria-labelledby="births"><h2 id="births">${t("litter.births")}</h2>
    ${chosen && html`<${Pup} key=${chosen.id} kennel=${kennel.kennel_id} litter=${litter} back=${() => setOpen("")}
      line=${{ id: chosen.id, kind: "birth", at: Date.parse(chosen.born_at), record: chosen, state: "stored" }} />`}
    <ol class="births">${pups.map((pup) => html`<li key=${pup.id} aria-current=${pup.id === open ? "true" : undefined}>
      <${Line} pup=${pup} name=${nameOf(pup, told[pup.dog_id])} open=${writes(kennel.role) ? () => setOpen(pup.id) : undefined} /></li>`)}</ol>
  </section>`;
}

/** @param {{ pup: Birth, name: string | null, open: (() => void) | undefined }} props */
function Line({ pup, name, open }) {
  const said = html`<span class="time">${moment(pup.born_at, now())}</span>
    <span><${Collar} name=${pup.collar} fallback=${t("litter.pup", { place: pup.ordinal })} />${name && html`<br />${name}`}</span>
    <span>${[pup.sex ? t(`birth.${pup.sex}`) : "", pup.weight_g ? weight(pup.weight_g) : "", pup.outcome === "stillborn" ? t("birth.stillborn") : ""].filter(Boolean).join(", ")}</span>`;
  return open ? html`<button onClick=${open}>${said}</button>` : html`<div class="line-of">${said}</div>`;
}
