// Who belongs to the kennel and may do what, and who is invited.
import { html, useState } from "../parts/html.js";
import { session } from "../parts/api.js";
import { Fold, Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown } from "../parts/states.js";
import { language, languages, t } from "../parts/texts.js";
import { Once, useDirect } from "./secret.js";

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
const ROLES = ["owner", "co_owner", "helper", "viewer"];
/** @returns {[string, string][]} */
const roles = () => ROLES.map((role) => [role, `${t(`role.${role}`)}: ${t(`role_may.${role}`)}`]);

/** @param {{ kennel: MyKennel }} props */
export function People({ kennel }) {
  const members = useAnswer("/v1/kennels/{kennel_id}/members", { kennel_id: kennel.kennel_id });
  const isOwner = kennel.role === "owner";
  const own = session.peek().who?.person.id;
  return html`<section aria-labelledby="people"><h2 id="people">${t("people.title")}</h2>
    <${Shown} answers=${[members]}>${() => html`<ul>${members.data?.items.map((one) => html`<li key=${one.id}>
      <${Fold} label=${html`<span class="lines"><strong>${one.name}</strong><span>${t(`role.${one.role}`)}${one.email ? ` · ${one.email}` : ""}</span></span>`}>
        <p>${t(`role_may.${one.role}`)}</p>
        ${isOwner && html`<${Form} kennel=${kennel.kennel_id} draft=${`member/${one.id}`} says="says.member" change=${true} first=${{ role: one.role }}
          fields=${[{ name: "role", label: t("people.role"), kind: "choice", required: true, options: roles() }]}
          call=${(/** @type {any} */ body) => ({ method: "PATCH", path: `/members/${one.id}`, seen: true, body })} />`}
        ${(isOwner || one.person_id === own) && html`<${Fold} label=${t("people.end")}><p>${t("people.end_how")}</p>
          <${Form} kennel=${kennel.kennel_id} draft=${`end-member/${one.id}`} says="says.member" fields=${[]} button=${t("people.end")}
            call=${() => ({ method: "DELETE", path: `/members/${one.id}`, seen: true })} /><//>`}<//></li>`)}</ul>`}<//>
    ${isOwner && html`<${Invited} kennel=${kennel} />`}</section>`;
}

/** @param {{ kennel: MyKennel }} props */
function Invited({ kennel }) {
  const base = `/v1/kennels/${kennel.kennel_id}/invitations`;
  const invitations = useAnswer("/v1/kennels/{kennel_id}/invitations", { kennel_id: kennel.kennel_id });
  const { told, busy, run } = useDirect();
  const [typed, setTyped] = useState({ email: "", role: "helper", language: language.peek() });
  const [link, setLink] = useState("");
  const [mailed, setMailed] = useState("");
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    setMailed("");
    const made = await run(base, typed);
    if (!made) return;
    setLink(`${location.origin}/${address("join", made.token)}`);
    setMailed(made.mailed ? typed.email : "");
  };
  return html`<${Fold} label=${t("people.invite")}><form class="fields" onSubmit=${send}>
      <label>${t("buyer_email")}<input type="email" required autocomplete="off" value=${typed.email} onInput=${(/** @type {any} */ event) => { const { value } = event.target; setTyped((was) => ({ ...was, email: value })); }} /></label>
      <label>${t("people.role")}<select value=${typed.role} onChange=${(/** @type {any} */ event) => { const { value } = event.target; setTyped((was) => ({ ...was, role: value })); }}>
        ${roles().map(([role, words]) => html`<option value=${role} selected=${role === typed.role}>${words}</option>`)}</select></label>
      <label>${t("people.language")}<select value=${typed.language} onChange=${(/** @type {any} */ event) => { const { value } = event.target; setTyped((was) => ({ ...was, language: value })); }}>
        ${Object.entries(languages).map(([tag, words]) => html`<option value=${tag} selected=${tag === typed.language}>${words}</option>`)}</select></label>
      <button class="main" disabled=${busy}>${t("people.invite_do")}</button><p role="status">${mailed ? t("people.mailed", { email: mailed }) : told}</p>
      ${link && html`<${Once} label=${t("people.link")} value=${link} />`}
      ${link && !mailed && html`<a class="button" href=${`mailto:${typed.email}?subject=denwright&body=${encodeURIComponent(link)}`}>${t("people.mail")}</a>`}
    </form>
    <ul class="lines-of">${(invitations.data?.items ?? []).map((one) => html`<li key=${one.id}>${one.email} · ${t(`role.${one.role}`)}
      <${Form} kennel=${kennel.kennel_id} draft=${`invited/${one.id}`} says="says.member" fields=${[]} button=${t("kennel.withdraw")}
        call=${() => ({ method: "DELETE", path: `/invitations/${one.id}`, seen: true })} /></li>`)}</ul><//>`;
}
