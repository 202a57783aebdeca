// The button that says what was just written and takes it back: instead of "are you sure?". It stands at the
// head, where nothing moves for it and it covers nothing.
import { html, signal, useEffect, useSignal } from "./html.js";
import { undo } from "./kept.js";
import { t } from "./texts.js";

const SHOWN_MS = 12_000;
/** @type {import("../vendor/signals.js").Signal<{ text: string, items: import("./queue.js").Item[] } | undefined>} */
const line = signal(undefined);

/** @param {string} text @param {import("./queue.js").Item[]} items */
export function wrote(text, items) {
  line.value = { text, items };
}

export function UndoLine() {
  const shown = useSignal(line);
  useEffect(() => {
    if (!shown) return undefined;
    const timer = setTimeout(() => { line.value = undefined; }, SHOWN_MS);
    return () => clearTimeout(timer);
  }, [shown]);
  const back = () => {
    for (const item of shown?.items ?? []) undo(item);
    line.value = undefined;
  };
  return html`<div class="undo"><span class="heard" role="status">${shown?.text}</span>
    ${shown && html`<button onClick=${back}>${t("undo_what", { what: shown.text })}</button>`}</div>`;
}
