// The six states of a page: empty, loading, error, offline, not allowed, gone. Each says what is the case and
// what to do next. What was kept is shown with its age.
import { html } from "./html.js";
import { readAgain } from "./read.js";
import { now } from "./clock.js";
import { moment, t } from "./texts.js";

/** @typedef {import("./read.js").Answer<any>} Answer */

/** @param {{ state: string, detail?: string, says?: string, again?: () => unknown }} props `says`: the text of this page for it */
export function State({ state, detail, says, again = readAgain }) {
  const passes = state === "error" || state === "offline";
  return html`<div class="state" data-state=${state} role=${state === "loading" ? "status" : undefined}>
    <p>${says ?? t(`state.${state}`)}</p>
    ${detail && html`<p>${detail}</p>`}
    ${passes && html`<button onClick=${() => again()}>${t("state.again")}</button>`}
    ${(state === "denied" || state === "gone") && html`<p><a class="button" href="#/">${t("state.home")}</a></p>`}
  </div>`;
}

/**
 * What several answers show together: their content once each has some, else the state that holds it up.
 * @param {{ answers: Answer[], children: () => any }} props
 */
export function Shown({ answers, children }) {
  const held = answers.find((answer) => answer.data === undefined);
  if (held) {
    const detail = held.state === "error" || held.state === "denied" ? held.trouble?.message : undefined;
    return html`<${State} state=${held.state} ...${detail ? { detail } : {}} />`;
  }
  const old = answers.filter((answer) => answer.state === "offline" || answer.state === "error");
  const oldest = Math.min(...old.map((answer) => answer.at ?? Infinity));
  return html`${Number.isFinite(oldest) && html`<p class="age" data-testid="age">${t("state.as_of", { at: moment(oldest, now()) })}</p>`}
    ${children()}`;
}
