// Who are you: email and password, then, where it is on, the code of the second factor. Whoever holds an
// invitation makes a login here.
import { html, useEffect, useSignal, useState } from "../parts/html.js";
import { Trouble, session, signIn } from "../parts/api.js";
import { Fold } from "../parts/form.js";
import { Foot } from "../parts/frame.js";
import { t } from "../parts/texts.js";
import { NewLogin } from "./new-login.js";

/** @param {{ invitation?: string | undefined }} props */
export function SignIn({ invitation }) {
  // Whose session ended under way goes on where they were.
  const last = useSignal(session).last;
  const [email, setEmail] = useState(last?.person.email ?? "");
  const [password, setPassword] = useState("");
  const [code, setCode] = useState("");
  const [step, setStep] = useState(/** @type {"password" | "code"} */ ("password"));
  const [wrong, setWrong] = useState("");
  const [busy, setBusy] = useState(false);
  useEffect(() => { document.title = `${t("sign_in.title")} – denwright`; }, []);
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    setBusy(true);
    setWrong("");
    try {
      await signIn({ email, password, ...(step === "code" ? { code } : {}) });
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setBusy(false);
      if (error.kind === "second-factor" && step === "password") setStep("code");
      else if (error.kind === "second-factor") setWrong(t("sign_in.wrong_code"));
      else if (error.status === 401) setWrong(t("sign_in.wrong"));
      else if (error.status === 429) setWrong(t("sign_in.wait", { seconds: error.wait }));
      else if (error.status === 0) setWrong(t("sign_in.offline"));
      else setWrong(error.message);
    }
  };
  const typed = (/** @type {(text: string) => void} */ set) => (/** @type {any} */ event) => set(event.target.value);
  return html`<div class="frame sign-in">
    <main id="main">
      <h1>denwright</h1>
      <form onSubmit=${send}>
        <h2>${t(step === "password" ? "sign_in.title" : "sign_in.code_title")}</h2>
        ${last && html`<p>${t("sign_in.ended")}</p>`}
        ${invitation && html`<p>${t("sign_in.invited")}</p>`}
        ${step === "password"
          ? html`<label>${t("sign_in.email")}
              <input type="email" name="email" autocomplete="username" required value=${email} onInput=${typed(setEmail)} /></label>
            <label>${t("sign_in.password")}
              <input type="password" name="password" autocomplete="current-password" required value=${password} onInput=${typed(setPassword)} /></label>`
          : html`<label>${t("sign_in.code")}
              <input key="code" name="code" inputmode="numeric" autocomplete="one-time-code" required autofocus value=${code} onInput=${typed(setCode)} /></label>
            <p>${t("sign_in.recovery")}</p>`}
        ${wrong && html`<p class="warn" role="alert">${wrong}</p>`}
        <div class="row"><button class="main" disabled=${busy}>${t("sign_in.go")}</button>
          ${step === "code" && html`<button type="button" onClick=${() => setStep("password")}>${t("back")}</button>`}</div>
      </form>
      ${invitation && step === "password" && html`<${Fold} label=${t("sign_in.new")}><${NewLogin} invitation=${invitation} /><//>`}
    </main>
    <${Foot} />
  </div>`;
}
