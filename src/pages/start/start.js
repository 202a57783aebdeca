// Where to go: the kennel's litters, those to come first, and the wall.
import { html, useSignal } from "../parts/html.js";
import { session } from "../parts/api.js";
import { Frame } from "../parts/frame.js";
import { choose } from "../parts/kennel.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown, State } from "../parts/states.js";
import { date, t } from "../parts/texts.js";
import { isNewborn } from "../newborns/age.js";

/** Pages of no litter or dam of their own. @type {[string, string][]} */
const WAYS = [["wall", "wall.title"], ["buyers", "home.buyers"], ["mating", "home.mating"], ["year", "home.year"], ["kennel", "home.kennel_page"]];

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Home({ kennel }) {
  const today = useAnswer("/v1/kennels/{kennel_id}/today", { kennel_id: kennel.kennel_id });
  const dams = useAnswer("/v1/kennels/{kennel_id}/dogs", { kennel_id: kennel.kennel_id }, "?for_breeding=true&sex=female&limit=100");
  const kennels = useSignal(session).who?.kennels ?? [];
  return html`<${Frame} title=${kennel.name} kennel=${kennel.kennel_id}>
    ${kennels.length > 1 && html`<label class="choice">${t("home.kennel")}
      <select onChange=${(/** @type {any} */ event) => choose(event.target.value)}>
        ${kennels.map((one) => html`<option value=${one.kennel_id} selected=${one.kennel_id === kennel.kennel_id}>${one.name}</option>`)}
      </select></label>`}
    <nav class="deeds" aria-label=${t("home.ways")}>
      ${WAYS.map(([page, words]) => html`<a class="button" key=${page} href=${address(page)}>${t(words)}</a>`)}
      ${kennel.role === "owner" && html`<a class="button" href=${address("vet")}>${t("vet.title")}</a>`}
    </nav>
    <h2>${t("home.litters")}</h2>
    <${Shown} answers=${[today]}>${() => today.data?.litters.length === 0
      ? html`<${State} state="empty" detail=${undefined} />`
      : html`<ul class="cards">${today.data?.litters.map(litterCard)}</ul>`}<//>
    <h2>${t("home.dams")}</h2>
    <${Shown} answers=${[dams]}>${() => html`<div class="deeds">${dams.data?.items.map((dog) =>
      html`<a class="button" key=${dog.id} href=${address("dam", dog.id)}>${dog.call_name ?? dog.name}</a>`)}</div>`}<//>
  <//>`;
}

/** @typedef {import("../parts/types.d.ts").Schema["TodayLitter"]} TodayLitter */

/** @param {TodayLitter} litter */
function litterCard(litter) {
  const { litter_id: id, expected } = litter;
  return html`<li class="card" key=${id}>
    <h3>${litter.name ?? t("litter.unnamed")}</h3>
    <p>${litterLine(litter)}</p>
    <div class="deeds">
      <a class="button" href=${address("litter", id)}>${t("home.litter")}</a>
      ${(expected || (litter.age_days ?? 99) < 3) && html`<a class="button" href=${address("night", id)}>${t("night.title")}</a>`}
      ${litter.pups.length > 0 && html`<a class="button" href=${address("weigh", id)}>${t("weigh.title")}</a>`}
      ${litter.pups.length > 0 && isNewborn(litter.age_days) && html`<a class="button" href=${address("newborns", id)}>${t("home.newborns")}</a>`}
    </div>
  </li>`;
}

/** What is known of a litter in one line. @param {TodayLitter} litter */
export function litterLine(litter) {
  const { expected } = litter;
  if (litter.age_days !== null && litter.age_days !== undefined) {
    return [t("litter.age", { count: litter.age_days }), t("litter.pups", { count: litter.pups.length }), litter.place]
      .filter(Boolean).join(" · ");
  }
  if (!expected) return litter.place ?? "";
  const { day_of_pregnancy: day, earliest_on: earliest, latest_on: latest } = expected;
  return [
    earliest && latest ? t("litter.due", { earliest: date(earliest), latest: date(latest) }) : t("litter.due_unknown"),
    typeof day === "number" ? t("litter.day", { day }) : "",
    litter.place,
  ].filter(Boolean).join(" · ");
}
