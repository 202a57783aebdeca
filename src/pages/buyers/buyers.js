// Buyers: who waits and wishes for what, a proposal with its reasons, what is promised and paid, the hand-over
// with the booklet, what new owners tell, and whom to ask how a pup is.
import { html, useState } from "../parts/html.js";
import { Fold } from "../parts/form.js";
import { Frame } from "../parts/frame.js";
import { labelOf } from "../parts/labels.js";
import "../parts/record.js";
import { useAnswer } from "../parts/read.js";
import { Shown, State } from "../parts/states.js";
import { fullDate, learn, t } from "../parts/texts.js";
import en from "../texts/en/buyers.js";
import de from "../texts/de/buyers.js";
import { FollowUps } from "./follow-ups.js";
import { Promised } from "./promised.js";
import { Proposal } from "./proposal.js";
import { Decided, Reports } from "./reports.js";
import { Left, NewBuyer, Waiting } from "./waiting.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/**
 * What the parts of this page know of all of it.
 * @typedef {{ kennel: import("../parts/types.d.ts").MyKennel, currency: string, buyers: Schema["KeptBuyer"][], placements: Schema["KeptPlacement"][],
 *   dogs: Schema["KeptDog"][], free: Schema["KeptDog"][], litters: Schema["KeptLitter"][], pup: (dog: string) => string, buyer: (id: string | null | undefined) => string }} Known
 */

const HELD = ["offered", "reserved", "confirmed"];

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Buyers({ kennel }) {
  const own = { kennel_id: kennel.kennel_id };
  const particulars = useAnswer("/v1/kennels/{kennel_id}", own);
  const all = useAnswer("/v1/kennels/{kennel_id}/buyers", own, "?limit=500");
  const waiting = useAnswer("/v1/kennels/{kennel_id}/buyers", own, "?waiting=true&limit=500");
  const placements = useAnswer("/v1/kennels/{kennel_id}/placements", own, "?limit=500");
  const dogs = useAnswer("/v1/kennels/{kennel_id}/dogs", own, "?limit=500");
  const litters = useAnswer("/v1/kennels/{kennel_id}/litters", own, "?limit=200");
  const today = useAnswer("/v1/kennels/{kennel_id}/today", own);
  return html`<${Frame} title=${t("buyers.title")} kennel=${kennel.kennel_id} wide=${true}>
    <${Shown} answers=${[all, waiting, placements, dogs, litters, today, particulars]}>${() => {
      const held = (placements.data?.items ?? []).filter((one) => HELD.includes(one.stage));
      const pups = (today.data?.litters ?? []).flatMap((litter) => litter.pups);
      /** @type {Known} */
      const known = {
        kennel, currency: particulars.data?.currency ?? "EUR", buyers: all.data?.items ?? [], placements: placements.data?.items ?? [], dogs: dogs.data?.items ?? [], litters: litters.data?.items ?? [],
        free: (dogs.data?.items ?? []).filter((dog) => dog.residence === "here" && pups.some((pup) => pup.dog_id === dog.id) && !held.some((one) => one.dog_id === dog.id)),
        pup: (dog) => labelOf(dog, pups, dogs.data?.items ?? []),
        buyer: (id) => all.data?.items.find((one) => one.id === id)?.name ?? "–",
      };
      return html`<div class="desk"><div>
          <${Reports} known=${known} />
          <section aria-labelledby="waiting"><h2 id="waiting">${t("buyers.waiting", { count: waiting.data?.items.length ?? 0 })}</h2>
            ${waiting.data?.items.length === 0 && html`<${State} state="empty" says=${t("buyers.none")} />`}
            <${Waiting} known=${known} waiting=${waiting.data?.items ?? []} />
            <${NewBuyer} known=${known} /><${Left} known=${known} /></section>
        </div><div>
          <${Proposal} known=${known} litters=${(today.data?.litters ?? []).filter((litter) => litter.pups.length > 0)} />
          <section aria-labelledby="promised"><h2 id="promised">${t("buyers.promised")}</h2>
            ${held.length === 0 && html`<p>${t("buyers.none_promised")}</p>`}
            <ul>${held.map((one) => html`<li class="card" key=${one.id}><${Promised} known=${known} one=${one} /></li>`)}</ul></section>
          <${FollowUps} known=${known} />
          <${Decided} known=${known} />
          <${Gone} known=${known} />
        </div></div>`;
    }}<//>
  <//>`;
}

/** @param {{ known: Known }} props */
function Gone({ known }) {
  const [from, setFrom] = useState("");
  const gone = known.placements.filter((one) => one.stage === "handed_over").sort((a, b) => (b.handed_over_on ?? "").localeCompare(a.handed_over_on ?? ""));
  const year = from || gone[0]?.handed_over_on?.slice(0, 4);
  const years = [...new Set(gone.map((one) => one.handed_over_on?.slice(0, 4) ?? ""))];
  return html`<${Fold} label=${t("buyers.gone", { count: gone.length })}>
    <div class="row">${years.map((one) => html`<button key=${one} aria-pressed=${one === year} onClick=${() => setFrom(one)}>${one}</button>`)}</div>
    <ul class="lines-of">${gone.filter((one) => one.handed_over_on?.startsWith(year ?? "")).map((one) => html`<li key=${one.id}>${known.pup(one.dog_id)} → ${known.buyer(one.buyer_id)} · ${fullDate(one.handed_over_on ?? "")}</li>`)}</ul><//>`;
}
