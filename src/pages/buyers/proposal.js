// Which free pup to whom: the service's proposal with its reasons, and a pup reserved.
import { html, useState } from "../parts/html.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { useAsked } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { t } from "../parts/texts.js";

/** @typedef {import("./buyers.js").Known} Known */
/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @param {{ known: Known, litters: Schema["TodayLitter"][] }} props */
export function Proposal({ known, litters }) {
  const [of, setOf] = useState("");
  const open = litters.filter((litter) => litter.pups.some((pup) => known.free.some((dog) => dog.id === pup.dog_id)));
  return html`<section aria-labelledby="proposal"><h2 id="proposal">${t("proposal.title")}</h2>
    ${open.length === 0 ? html`<p>${t("proposal.none")}</p>` : html`<p>${t("proposal.how")}</p>
      <div class="row">${open.map((litter) => html`<button key=${litter.litter_id} aria-pressed=${of === litter.litter_id} onClick=${() => setOf(of === litter.litter_id ? "" : litter.litter_id)}>${litter.name ?? t("litter.unnamed")}</button>`)}</div>
      ${of && html`<${Pairs} key=${of} known=${known} litter=${of} />`}`}</section>`;
}

/** @param {{ known: Known, litter: string }} props */
function Pairs({ known, litter }) {
  const proposal = useAsked("/v1/kennels/{kennel_id}/litters/{litter_id}/placement-proposal", { kennel_id: known.kennel.kennel_id, litter_id: litter }, {});
  return html`<${Shown} answers=${[proposal]}>${() => {
    const { pairs, unplaced, left_free: free, objective } = /** @type {Schema["PlacementProposal"]} */ (proposal.data);
    const wishes = (/** @type {string} */ mark, /** @type {string} */ key, /** @type {string[]} */ kinds) => kinds.length > 0 && html`<p>${mark} ${t(key)} ${kinds.map((one) => t(`wish.${one}`)).join(", ")}</p>`;
    return html`${pairs.length === 0 && html`<p>${t("proposal.no_pairs")}</p>`}
      <ul class="pairs">${pairs.map((pair) => html`<li class="card" key=${pair.dog_id}><h3>${known.pup(pair.dog_id)} → ${known.buyer(pair.buyer_id)}</h3>
        <p>${t("proposal.place", { place: pair.waiting_place })}</p>
        ${wishes("✓", "proposal.met", pair.wishes.met)}${wishes("✗", "proposal.unmet", pair.wishes.unmet)}${wishes("?", "proposal.unknown", pair.wishes.unknown)}
        <p>${pair.reason}</p>
        ${writes(known.kennel.role) && html`<${Fold} label=${t("buyer.reserve")}><${Reserve} known=${known} buyer=${pair.buyer_id} dog=${pair.dog_id} /><//>`}</li>`)}</ul>
      ${free.length > 0 && html`<p>${t("proposal.free", { pups: free.map(known.pup).join(", ") })}</p>`}
      ${unplaced.length > 0 && html`<${Fold} label=${t("proposal.unplaced", { count: unplaced.length })}><ul class="lines-of">${unplaced.map((one) => html`<li key=${one.buyer_id}>${known.buyer(one.buyer_id)}: <span>${one.reason}</span></li>`)}</ul><//>`}
      <${Fold} label=${t("proposal.objective")}><ol class="lines-of">${objective.map((words) => html`<li>${words}</li>`)}</ol><//>`;
  }}<//>`;
}

/** @param {{ known: Known, buyer: string, dog?: string }} props */
export function Reserve({ known, buyer, dog }) {
  const fields = /** @type {import("../parts/form.js").Field[]} */ ([
    { name: "dog_id", label: t("promised.pup"), kind: "choice", required: true, options: known.free.map((one) => [one.id, known.pup(one.id)]) },
    { name: "price_minor", label: t("promised.price", { currency: known.currency }), kind: "money" },
    { name: "reservation_ends_on", label: t("promised.until"), kind: "date", hint: t("promised.until_hint") },
    { name: "country", label: t("promised.country"), hint: t("promised.country_hint") },
  ]);
  return html`<${Form} kennel=${known.kennel.kennel_id} draft=${`reserve/${buyer}/${dog ?? ""}`} says="says.placement" fields=${fields} first=${dog ? { dog_id: dog } : {}} button=${t("promised.reserve")}
    call=${(/** @type {any} */ body) => ({ method: "POST", path: "/placements", body: { ...body, ...(body.price_minor ? { currency: known.currency } : {}), buyer_id: buyer, kind: "sale", stage: "reserved" } })} />`;
}
