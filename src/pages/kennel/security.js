// The safety of one's own sign-in: a second factor, and the password; and its end. Asked directly: a password is in no queue.
import { html, useEffect, useState } from "../parts/html.js";
import { Trouble, changePassword, json } from "../parts/api.js";
import { Fold } from "../parts/form.js";
import { t } from "../parts/texts.js";
import { DeleteLogin } from "./leaving.js";
import { Once, useDirect } from "./secret.js";

/** @param {{ label: string, value: string, set: (text: string) => void, kind?: string, fill?: string }} props */
function Asked({ label, value, set, kind = "password", fill = "current-password" }) {
  return html`<label>${label}<input class="long" type=${kind} required inputmode=${kind === "text" ? "numeric" : undefined} autocomplete=${fill} value=${value} onInput=${(/** @type {any} */ event) => set(event.target.value)} /></label>`;
}

export function Security() {
  const [on, setOn] = useState(/** @type {{ required: boolean, recovery_codes_left: number } | undefined} */ (undefined));
  const [away, setAway] = useState(false);
  const look = () => json("/v1/me/second-factor").then(setOn, (error) => {
    if (!(error instanceof Trouble)) throw error;
    setAway(true);
  });
  useEffect(() => { look(); }, []);
  return html`<section aria-labelledby="security"><h2 id="security">${t("security.title")}</h2>
    ${away && html`<p>${t("paper.offline")}</p>`}
    ${on && html`<p>${on.required ? t("security.on", { count: on.recovery_codes_left }) : t("security.off")}</p>
      <${Fold} label=${t(on.required ? "security.end" : "security.begin")}>${on.required ? html`<${End} done=${look} />` : html`<${Begin} done=${look} />`}<//>`}
    <${Fold} label=${t("security.password")}><${Password} /><//>
    <${Fold} label=${t("leaving.login")}><${DeleteLogin} /><//></section>`;
}

/** @param {{ done: () => void }} props */
function Begin({ done }) {
  const { told, busy, run } = useDirect();
  const [password, setPassword] = useState("");
  const [code, setCode] = useState("");
  const [begun, setBegun] = useState(/** @type {{ secret: string, address: string } | undefined} */ (undefined));
  const [codes, setCodes] = useState(/** @type {string[]} */ ([]));
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (!begun) setBegun(await run("/v1/me/second-factor", { password }));
    else setCodes((await run("/v1/me/second-factor/confirm", { code }))?.recovery_codes ?? []);
  };
  if (codes.length > 0) {
    return html`<p><strong>${t("security.codes")}</strong></p><ul class="codes">${codes.map((one) => html`<li>${one}</li>`)}</ul>
      <div class="row"><button onClick=${() => print()}>${t("security.print")}</button><button class="main" onClick=${done}>${t("done")}</button></div>`;
  }
  return html`<form class="fields" onSubmit=${send}>
    ${begun
      ? html`<p>${t("security.app")} <a href=${begun.address}>${t("security.open_app")}</a></p><${Once} label=${t("security.secret")} value=${begun.secret} />
        <${Asked} label=${t("sign_in.code")} value=${code} set=${setCode} kind="text" fill="one-time-code" />`
      : html`<p>${t("security.begin_how")}</p><${Asked} label=${t("sign_in.password")} value=${password} set=${setPassword} />`}
    <button class="main" disabled=${busy}>${t("sign_in.go")}</button><p role="status">${told}</p></form>`;
}

/** @param {{ done: () => void }} props */
function End({ done }) {
  const { told, busy, run } = useDirect();
  const [password, setPassword] = useState("");
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (await run("/v1/me/second-factor/end", { password })) done();
  };
  return html`<form class="fields" onSubmit=${send}><${Asked} label=${t("sign_in.password")} value=${password} set=${setPassword} />
    <button class="main" disabled=${busy}>${t("security.end")}</button><p role="status">${told}</p></form>`;
}

function Password() {
  const { told, busy, tried } = useDirect();
  const [password, setPassword] = useState("");
  const [next, setNext] = useState("");
  const [done, setDone] = useState(false);
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    setDone(false);
    if (!(await tried(() => changePassword({ password, new_password: next })))) return;
    setPassword("");
    setNext("");
    setDone(true);
  };
  return html`<form class="fields" onSubmit=${send}><p>${t("security.password_how")}</p>
    <${Asked} label=${t("security.old")} value=${password} set=${setPassword} /><${Asked} label=${t("security.new")} value=${next} set=${setNext} fill="new-password" />
    <button class="main" disabled=${busy}>${t("security.password")}</button><p role="status">${done ? t("security.password_done") : told}</p></form>`;
}
