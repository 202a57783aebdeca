// A login for whoever holds an invitation and has none: the invitation is the permission.
import { html, useState } from "../parts/html.js";
import { Trouble, signUp } from "../parts/api.js";
import { t } from "../parts/texts.js";

/** Name of the field, what it is called, its kind, and what a browser may fill in. @type {[string, string, string, string][]} */
const FIELDS = [
  ["new_name", "sign_in.name", "text", "name"],
  ["new_email", "sign_in.email", "email", "username"],
  ["new_password", "sign_in.new_password", "password", "new-password"],
];

/** @param {{ invitation: string }} props */
export function NewLogin({ invitation }) {
  const [typed, setTyped] = useState(/** @type {Record<string, string>} */ ({}));
  const [wrong, setWrong] = useState("");
  const [busy, setBusy] = useState(false);
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    setBusy(true);
    setWrong("");
    try {
      await signUp({ name: typed["new_name"] ?? "", email: typed["new_email"] ?? "", password: typed["new_password"] ?? "", invitation });
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setBusy(false);
      if (error.status === 429) setWrong(t("sign_in.wait", { seconds: error.wait }));
      else if (error.status === 0) setWrong(t("sign_in.offline"));
      else if (error.errors.some((fault) => fault.pointer === "/invitation")) setWrong(t("sign_in.invitation_over"));
      else setWrong(error.errors.map((fault) => fault.detail).join(" ") || error.message);
    }
  };
  return html`<form onSubmit=${send}><p>${t("sign_in.new_how")}</p>
    ${FIELDS.map(([name, label, kind, fill]) => html`<label key=${name}>${t(label)}
      <input type=${kind} name=${name} autocomplete=${fill} required value=${typed[name] ?? ""}
        onInput=${(/** @type {any} */ event) => { const { value } = event.target; setTyped((was) => ({ ...was, [name]: value })); }} /></label>`)}
    ${wrong && html`<p class="warn" role="alert">${wrong}</p>`}
    <div class="row"><button class="main" disabled=${busy}>${t("sign_in.make")}</button></div></form>`;
}
