// The births in their order; a tap on one opens it to add to, correct or take back.
import { html, useState } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Collar, collarName } from "../parts/collars.js";
import { writes } from "../parts/kennel.js";
import { moment, number, t } from "../parts/texts.js";
import { Pup } from "../night/birth.js";

/** @typedef {import("../parts/types.d.ts").Schema["KeptBirth"]} Birth */

/** What a pup is called: its name, else its collar, else its place. @param {Birth} pup */
export function labelOf(pup) {
  return pup.name ?? (pup.collar ? collarName(pup.collar) : t("litter.pup", { place: pup.ordinal }));
}

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: string, pups: Birth[] }} props */
export function Births({ kennel, litter, pups }) {
  const [open, setOpen] = useState("");
  const chosen = pups.find((pup) => pup.id === open);
  return html`<section aria-labelledby="births"><h2 id="births">${t("litter.births")}</h2>
    ${chosen && html`<${Pup} key=${chosen.id} kennel=${kennel.kennel_id} litter=${litter} back=${() => setOpen("")}
      line=${{ id: chosen.id, kind: "birth", at: Date.parse(chosen.born_at), record: chosen, state: "stored" }} />`}
    <ol class="births">${pups.map((pup) => html`<li key=${pup.id}>
      <${Line} pup=${pup} open=${writes(kennel.role) ? () => setOpen(pup.id) : undefined} /></li>`)}</ol>
  </section>`;
}

/** @param {{ pup: Birth, open: (() => void) | undefined }} props */
function Line({ pup, open }) {
  const said = html`<span class="time">${moment(pup.born_at, now())}</span>
    <span><${Collar} name=${pup.collar} fallback=${t("litter.pup", { place: pup.ordinal })} />${pup.name && html`<br />${pup.name}`}</span>
    <span>${[pup.sex ? t(`birth.${pup.sex}`) : "", pup.weight_g ? `${number(pup.weight_g)} g` : "", pup.outcome === "stillborn" ? t("birth.stillborn") : ""].filter(Boolean).join(", ")}</span>`;
  return open ? html`<button onClick=${open}>${said}</button>` : html`<div class="line-of">${said}</div>`;
}
