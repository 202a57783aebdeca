// A dam: her heats, what the readings say and the watch after them, matings and checks, when her litter is due and
// why, what may go wrong at its birth, how she is after it, and whether she may be bred again.
import { html } from "../parts/html.js";
import { Album } from "../album/album.js";
import { Fold } from "../parts/form.js";
import { Frame } from "../parts/frame.js";
import "../parts/record.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown, State } from "../parts/states.js";
import { now } from "../parts/clock.js";
import { dayOf, fullDate, learn, t } from "../parts/texts.js";
import en from "../texts/en/dam.js";
import de from "../texts/de/dam.js";
import { After } from "./after.js";
import { Again } from "./again.js";
import { Due } from "./due.js";
import { Heats } from "./heat.js";
import { Matings } from "./mated.js";
import { BirthRisks } from "./risks.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** For so many days after a birth her checks stand on the page. */
const AFTER_DAYS = 70;

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, id: string }} props */
export function Dam({ kennel, id }) {
  const own = { kennel_id: kennel.kennel_id };
  const dog = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}", { ...own, dog_id: id });
  const litters = useAnswer("/v1/kennels/{kennel_id}/litters", own, `?dam_id=${id}&limit=100`);
  const title = dog.data?.call_name ?? dog.data?.name ?? t("dam.title");
  return html`<${Frame} title=${title} kennel=${kennel.kennel_id} wide=${true}>
    <${Shown} answers=${[dog, litters]}>${() => {
      if (dog.data?.sex === "male") return html`<${State} state="empty" says=${t("dam.male")} />`;
      const all = litters.data?.items ?? [];
      const expected = all.filter((litter) => !litter.whelped_on);
      const since = dayOf(now() - AFTER_DAYS * 86_400_000);
      const young = all.filter((litter) => (litter.whelped_on ?? "") >= since);
      return html`
        <p>${[dog.data?.name, dog.data?.breed].filter(Boolean).join(" · ")}</p>
        <div class="deeds"><a class="button" href=${address("mating", id)}>${t("dam.sires")}</a>
          ${[...all].reverse().map((litter) => html`<a class="button" key=${litter.id} href=${address("litter", litter.id)}>${litter.name ?? t("litter.unnamed")}</a>`)}</div>
        <div class="desk"><div>
          ${expected.map((litter) => html`<${Due} key=${litter.id} kennel=${kennel} litter=${litter} />
            <${BirthRisks} key=${`risks-${litter.id}`} kennel=${kennel} litter=${litter} />`)}
          ${young.map((litter) => html`<${After} key=${litter.id} kennel=${kennel} litter=${litter} />`)}
          <${Again} kennel=${kennel.kennel_id} dog=${id} />
          <${Coming} kennel=${kennel.kennel_id} dog=${id} />
        </div><div>
          <${Heats} kennel=${kennel} dog=${id} />
          <${Matings} kennel=${kennel} dog=${id} litters=${all} />
        </div></div>
        <${Fold} label=${t("album.title")}><${Album} kennel=${kennel} subjects=${[{ field: "dog_id", id, label: title }]} born=${dog.data?.born_on} /><//>`;
    }}<//>
  <//>`;
}

/** @param {{ kennel: string, dog: string }} props */
function Coming({ kennel, dog }) {
  const coming = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/coming-heats", { kennel_id: kennel, dog_id: dog });
  return html`<section aria-labelledby="coming"><h2 id="coming">${t("dam.coming")}</h2>
    <${Shown} answers=${[coming]}>${() => html`
      ${coming.data?.heats.length === 0 && html`<p>${t("dam.coming_none")}</p>`}
      <ul class="lines-of">${coming.data?.heats.map((heat) => html`<li key=${heat.number}>
        ${t("dam.window", { earliest: fullDate(heat.earliest_on), latest: fullDate(heat.latest_on) })} · ${t("dam.likely", { day: fullDate(heat.likely_on) })}</li>`)}</ul>
      ${coming.data?.notes.map((note) => html`<p>${note}</p>`)}
      <p class="hint">${t("banner.source")} <span lang="en">${coming.data?.source}</span></p>
      <p class="standing">${coming.data?.standing_line}</p>`}<//></section>`;
}
