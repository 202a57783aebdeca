// Leaving for good: one's own login, and the kennel with all that it has. Asked directly: a password is in no queue.
import { html, useState } from "../parts/html.js";
import { signOut } from "../parts/api.js";
import { Fold } from "../parts/form.js";
import { queue } from "../parts/kept.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { dayOf, fullDate, t } from "../parts/texts.js";
import { Archive } from "./data.js";
import { useDirect } from "./secret.js";

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */

/** Password and, where there is a second factor, its code. @param {{ value: { password: string, code: string }, set: (value: { password: string, code: string }) => void }} props */
function Proof({ value, set }) {
  const typed = (/** @type {"password" | "code"} */ name) => (/** @type {any} */ event) => set({ ...value, [name]: event.target.value });
  return html`<label>${t("sign_in.password")}<input class="long" type="password" required autocomplete="current-password" value=${value.password} onInput=${typed("password")} /></label>
    <label>${t("leaving.code")}<input class="long" inputmode="numeric" autocomplete="one-time-code" value=${value.code} onInput=${typed("code")} /></label>`;
}

/** What is sent of it. @param {{ password: string, code: string }} proof */
const sent = ({ password, code }) => ({ password, code: code.trim() || null });

export function DeleteLogin() {
  const { told, busy, run, tried } = useDirect();
  const [proof, setProof] = useState({ password: "", code: "" });
  const [waits, setWaits] = useState(false);
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    // What was written here would be nobody's any more.
    const unsent = queue.items.peek().length > 0;
    setWaits(unsent);
    if (unsent || !(await run("/v1/me/deletion", sent(proof)))) return;
    await tried(() => signOut());
    location.hash = "#/";
  };
  return html`<form class="fields" onSubmit=${send}><p>${t("leaving.login_how")}</p><${Proof} value=${proof} set=${setProof} />
    <button class="main" disabled=${busy}>${t("leaving.login_do")}</button><p role="status">${waits ? t("leaving.unsent") : told}</p></form>`;
}

/** @param {{ kennel: MyKennel }} props */
export function DeleteKennel({ kennel }) {
  const particulars = useAnswer("/v1/kennels/{kennel_id}", { kennel_id: kennel.kennel_id });
  const ends = particulars.data?.ends_at;
  return html`<${Shown} answers=${[particulars]}>${() => (ends ? html`<${Ending} kennel=${kennel} ends=${ends} />`
    : html`<${Fold} label=${t("leaving.kennel")}><${EndKennel} kennel=${kennel} /><//>`)}<//>`;
}

/** @param {{ kennel: MyKennel }} props */
function EndKennel({ kennel }) {
  const { told, busy, run } = useDirect();
  const [name, setName] = useState("");
  const [proof, setProof] = useState({ password: "", code: "" });
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    run(`/v1/kennels/${kennel.kennel_id}/deletion`, { name, ...sent(proof) });
  };
  return html`<p>${t("leaving.kennel_how")}</p><${Archive} kennel=${kennel} /><form class="fields" onSubmit=${send}>
    <label>${t("leaving.name", { name: kennel.name })}<input class="long" required autocomplete="off" value=${name} onInput=${(/** @type {any} */ event) => setName(event.target.value)} /></label>
    <${Proof} value=${proof} set=${setProof} />
    <button class="main" disabled=${busy}>${t("leaving.kennel_do")}</button><p role="status">${told}</p></form>`;
}

/** @param {{ kennel: MyKennel, ends: string }} props */
function Ending({ kennel, ends }) {
  const { told, busy, run } = useDirect();
  return html`<p class="warn">${t("leaving.ends", { day: fullDate(dayOf(Date.parse(ends))) })}</p>
    <div class="row"><button class="main" disabled=${busy} onClick=${() => run(`/v1/kennels/${kennel.kennel_id}/deletion`, undefined, "DELETE")}>${t("leaving.keep")}</button></div>
    <p role="status">${told}</p>`;
}
