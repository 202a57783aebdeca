// Who holds which share in a dog: with it goes what a co-owner sees.
import { html, useState } from "../parts/html.js";
import { Fold, Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */

/** @param {{ kennel: MyKennel }} props */
export function Shares({ kennel }) {
  const own = { kennel_id: kennel.kennel_id };
  const dogs = useAnswer("/v1/kennels/{kennel_id}/dogs", own, "?for_breeding=true&limit=200");
  const members = useAnswer("/v1/kennels/{kennel_id}/members", own);
  const [of, setOf] = useState("");
  return html`<section aria-labelledby="shares"><h2 id="shares">${t("shares.title")}</h2>
    <${Shown} answers=${[dogs, members]}>${() => html`<label class="choice">${t("shares.dog")}
      <select value=${of} onChange=${(/** @type {any} */ event) => setOf(event.target.value)}><option value="">${t("form.choose")}</option>
        ${dogs.data?.items.map((dog) => html`<option value=${dog.id} selected=${dog.id === of}>${dog.call_name ?? dog.name}</option>`)}</select></label>
      ${of && html`<${OfDog} key=${of} kennel=${kennel} dog=${of} members=${members.data?.items ?? []} />`}`}<//></section>`;
}

/** @param {{ kennel: MyKennel, dog: string, members: { person_id: string, name: string }[] }} props */
function OfDog({ kennel, dog, members }) {
  const shares = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/shares", { kennel_id: kennel.kennel_id, dog_id: dog });
  const path = `/dogs/${dog}/shares`;
  const isOwner = kennel.role === "owner";
  return html`<${Shown} answers=${[shares]}>${() => html`
    ${shares.data?.items.length === 0 && html`<p>${t("shares.none")}</p>`}
    <ul class="lines-of">${shares.data?.items.map((one) => html`<li key=${one.id}>${members.find((member) => member.person_id === one.person_id)?.name ?? t("banner.somebody")}: ${one.numerator}/${one.denominator}
      ${isOwner && html`<${Form} kennel=${kennel.kennel_id} draft=${`share/${one.id}`} says="says.share" fields=${[]} button=${t("shares.end")}
        call=${() => ({ method: "DELETE", path: `${path}/${one.id}`, seen: true })} />`}</li>`)}</ul>
    ${isOwner && html`<${Fold} label=${t("shares.add")}><${Form} kennel=${kennel.kennel_id} draft=${`share/${dog}`} says="says.share" first=${{ numerator: "1", denominator: "2" }}
      fields=${[{ name: "person_id", label: t("shares.person"), kind: "choice", required: true, options: members.map((one) => [one.person_id, one.name]) },
        { name: "numerator", label: t("shares.parts"), kind: "number", required: true }, { name: "denominator", label: t("shares.of"), kind: "number", required: true }]}
      call=${(/** @type {any} */ body) => ({ method: "POST", path, body })} /><//>`}`}<//>`;
}
