// The number pad: large keys for a thumb; a keyboard does the same.
import { html, useLayoutEffect, useRef } from "../parts/html.js";
import { t } from "../parts/texts.js";

/** @param {{ press: (key: string) => void, confirm: () => void, decimal: boolean, busy: boolean }} props */
export function Pad({ press, confirm, decimal, busy }) {
  const now = useRef({ press, confirm, busy });
  now.current = { press, confirm, busy };
  // Before it is seen: whoever types at once loses no digit.
  useLayoutEffect(() => {
    const down = (/** @type {KeyboardEvent} */ event) => {
      const target = /** @type {Element} */ (event.target);
      if (event.ctrlKey || event.metaKey || event.altKey || target.matches("input, textarea, select")) return;
      const key = /^[0-9]$/.test(event.key) ? event.key
        : event.key === "," || event.key === "." ? "," : event.key === "Backspace" ? "back" : "";
      // Enter on a button is that button's.
      if (event.key === "Enter" && !target.matches("button, a, summary")) {
        event.preventDefault();
        if (!now.current.busy) now.current.confirm();
      } else if (key) {
        event.preventDefault();
        now.current.press(key);
      }
    };
    document.addEventListener("keydown", down);
    return () => document.removeEventListener("keydown", down);
  }, []);
  const key = (/** @type {string} */ name) => html`<button onClick=${() => press(name)}>${name}</button>`;
  return html`<div class="pad" role="group" aria-label=${t("weigh.pad")}>
    ${["1", "2", "3", "4", "5", "6", "7", "8", "9"].map(key)}
    ${decimal ? key(",") : html`<span></span>`}
    ${key("0")}
    <button aria-label=${t("weigh.back_one")} onClick=${() => press("back")}>⌫</button>
    <button class="main confirm" disabled=${busy} onClick=${confirm}>${t("weigh.confirm")}</button>
  </div>`;
}
