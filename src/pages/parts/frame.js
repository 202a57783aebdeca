// What surrounds each page: the alarm banner at its place, the way home, the page, what waits to be sent, the
// line of undo, and at the foot language, light and sign-out.
import { html, useEffect, useRef, useSignal } from "./html.js";
import { reached, session } from "./api.js";
import { Banner } from "./banner.js";
import { wrongBy } from "./clock.js";
import { lights, light, setLight } from "./light.js";
import { leave } from "./leave.js";
import { Outbox } from "./outbox.js";
import { languages, language, speak, t } from "./texts.js";
import { UndoLine } from "./undo.js";
import { takeNext, waiting } from "./update.js";

/**
 * @param {{ title: string, kennel: string, litter?: string, wide?: boolean, tight?: boolean, beside?: any, children: any }} props
 * `beside`: what stands beside the title; `tight`: a page of one screen, whose foot stands below what is worked with
 */
export function Frame({ title, kennel, litter, wide, tight, beside, children }) {
  const main = useRef(/** @type {HTMLElement | null} */ (null));
  const isReached = useSignal(reached);
  useEffect(() => {
    document.title = `${title} – denwright`;
  }, [title]);
  const skip = (/** @type {Event} */ event) => {
    event.preventDefault();
    main.current?.focus();
  };
  return html`<div class=${`frame ${wide ? "wide" : ""} ${tight ? "tight" : ""}`}>
    <a class="skip" href="#main" onClick=${skip}>${t("frame.skip")}</a>
    <${Banner} kennel=${kennel} ...${litter ? { litter } : {}} />
    <header class="head">
      <nav aria-label=${t("frame.nav")}><a class="button" href="#/">${t("home.title")}</a></nav>
      <div class="titles"><h1>${title}</h1>
        <span class="net" role="status">${isReached ? "" : t("frame.offline")}</span></div>
      ${beside}
      <${UndoLine} />
    </header>
    <main id="main" tabindex="-1" ref=${main}>${children}</main>
    <${Outbox} />
    <${Foot} />
  </div>`;
}

export function Foot() {
  const who = useSignal(session).who;
  const wrong = useSignal(wrongBy);
  const next = useSignal(waiting);
  return html`<footer class="foot">
    ${wrong !== 0 && html`<p class="warn" role="status">${t(wrong > 0 ? "clock.ahead" : "clock.behind", { minutes: Math.round(Math.abs(wrong) / 60_000) })}</p>`}
    ${next && html`<p class="warn" role="status">${t("update.waits")} <button onClick=${takeNext}>${t("update.take")}</button></p>`}
    <div class="choices">
      <${Choice} label=${t("foot.language")} value=${useSignal(language)} options=${languages} choose=${speak} />
      <${Choice} label=${t("foot.light")} value=${useSignal(light)} choose=${setLight}
        options=${Object.fromEntries(lights.map((one) => [one, t(`light.${one}`)]))} />
      ${who && html`<button onClick=${() => leave(false)}>${t("foot.leave")}</button>
        <button onClick=${() => leave(true)}>${t("foot.leave_everywhere")}</button>`}
    </div>
    ${who && html`<p>${t("foot.who", { name: who.person.name })}</p>`}
  </footer>`;
}

/** @param {{ label: string, value: string, options: Record<string, string>, choose: (value: any) => void }} props */
function Choice({ label, value, options, choose }) {
  return html`<label class="choice">${label}
    <select value=${value} onChange=${(/** @type {any} */ event) => choose(event.target.value)}>
      ${Object.entries(options).map(([key, text]) => html`<option value=${key} selected=${key === value}>${text}</option>`)}
    </select></label>`;
}
