// The kennel's dogs: one added or changed.
import { html, useState } from "../parts/html.js";
import { Album } from "../album/album.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { Paper, Picture } from "../parts/paper.js";
import { useAnswer, useText } from "../parts/read.js";
import { Shown, State } from "../parts/states.js";
import { fullDate, t } from "../parts/texts.js";
import { typedOf } from "../parts/typed.js";

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
/** @typedef {import("../parts/types.d.ts").Schema["KeptDog"]} Dog */
/** @typedef {import("../parts/form.js").Field} Field */

/** A day of birth as it is known: to the day, the month or the year. @param {string | null | undefined} day */
const born = (day) => (day?.length === "2026-11-29".length ? fullDate(day) : day);
/** So many stand below a search. */
const MOST = 20;

/** @param {Dog} dog */
const called = (dog) => [dog.call_name, dog.name].filter(Boolean).join(" · ") || t("dogs.unnamed");

/** @param {Dog[]} dogs @returns {Field[]} */
function fieldsOf(dogs) {
  const of = (/** @type {string} */ sex) => dogs.filter((dog) => dog.sex === sex).map((dog) => /** @type {[string, string]} */ ([dog.id, called(dog)]));
  return [
    { name: "call_name", label: t("dogs.call_name") },
    { name: "name", label: t("dogs.name") },
    { name: "sex", label: t("birth.sex"), kind: "choice", options: [["female", t("birth.female")], ["male", t("birth.male")]] },
    { name: "born_on", label: t("dogs.born_on"), hint: t("dogs.born_hint") },
    { name: "breed", label: t("dogs.breed") },
    { name: "colour", label: t("dogs.colour") },
    { name: "chip_number", label: t("dogs.chip") },
    { name: "for_breeding", label: t("dogs.for_breeding"), kind: "check" },
    { name: "residence", label: t("dogs.lives"), kind: "choice", required: true, options: [["here", t("dogs.here")], ["elsewhere", t("dogs.elsewhere")]] },
    { name: "dam_id", label: t("dogs.dam"), kind: "choice", options: of("female") },
    { name: "sire_id", label: t("dogs.sire"), kind: "choice", options: of("male") },
    { name: "died_on", label: t("dogs.died_on"), kind: "date" },
    { name: "note", label: t("event.note"), kind: "lines" },
  ];
}

/** @param {{ kennel: MyKennel }} props */
export function Dogs({ kennel }) {
  const dogs = useAnswer("/v1/kennels/{kennel_id}/dogs", { kennel_id: kennel.kennel_id }, "?limit=500");
  const [words, setWords] = useState("");
  return html`<section aria-labelledby="dogs"><h2 id="dogs">${t("dogs.title")}</h2>
    <${Shown} answers=${[dogs]}>${() => {
      const all = dogs.data?.items ?? [];
      const wanted = words.toLowerCase();
      const found = all.filter((dog) => (wanted ? called(dog).toLowerCase().includes(wanted) : dog.for_breeding));
      return html`${all.length === 0 && html`<${State} state="empty" says=${t("dogs.none")} />`}
        ${writes(kennel.role) && html`<${Fold} label=${t("dogs.add")}><${Form} kennel=${kennel.kennel_id} draft="dog" says="says.dog" fields=${fieldsOf(all)}
          first=${{ residence: "here", for_breeding: true }} call=${(/** @type {any} */ body) => ({ method: "POST", path: "/dogs", body })} /><//>`}
        ${all.length > 0 && html`<label>${t("dogs.search", { count: all.length })}<input type="search" class="long" value=${words} onInput=${(/** @type {any} */ event) => setWords(event.target.value)} /></label>`}
        <ul>${found.slice(0, MOST).map((dog) => html`<li key=${dog.id}><${OneDog} kennel=${kennel} dog=${dog} all=${all} /></li>`)}</ul>
        ${found.length > MOST && html`<p>${t("rules.more", { count: found.length - MOST })}</p>`}`;
    }}<//></section>`;
}

/** @param {{ kennel: MyKennel, dog: Dog, all: Dog[] }} props */
function OneDog({ kennel, dog, all }) {
  const [open, setOpen] = useState(false);
  const fields = fieldsOf(all.filter((one) => one.id !== dog.id));
  return html`<${Fold} label=${html`<span class="lines"><strong>${called(dog)}</strong><span>${[dog.sex ? t(`birth.${dog.sex}`) : "", born(dog.born_on), dog.breed].filter(Boolean).join(" · ")}</span></span>`}>
    <button aria-expanded=${open} onClick=${() => setOpen(!open)}>${t("dogs.pedigree")}</button>
    ${open && html`<${Pedigree} kennel=${kennel} dog=${dog.id} />`}
    <${Fold} label=${t("album.title")}><${Album} kennel=${kennel} subjects=${[{ field: "dog_id", id: dog.id, label: called(dog) }]} born=${dog.born_on} /><//>
    ${writes(kennel.role) && html`<${Form} kennel=${kennel.kennel_id} draft=${`dog/${dog.id}`} says="says.dog" change=${true} fields=${fields} first=${typedOf(fields, dog)}
      call=${(/** @type {any} */ body) => ({ method: "PATCH", path: `/dogs/${dog.id}`, seen: true, body })} />`}<//>`;
}

/** @param {{ kennel: MyKennel, dog: string }} props */
function Pedigree({ kennel, dog }) {
  const picture = useText("/v1/kennels/{kennel_id}/dogs/{dog_id}/pedigree.svg", { kennel_id: kennel.kennel_id, dog_id: dog });
  return html`<${Shown} answers=${[picture]}>${() => html`<${Picture} answer=${picture} alt=${t("dogs.pedigree")} />
    <${Paper} path=${`/v1/kennels/${kennel.kennel_id}/dogs/${dog}/pedigree.svg`} name="pedigree.svg">${t("dogs.keep_picture")}<//>`}<//>`;
}
