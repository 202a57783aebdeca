// Something that the service shows once: made at once and not by the queue, which keeps no answers.
import { html, useState } from "../parts/html.js";
import { Trouble, json } from "../parts/api.js";
import { changed } from "../parts/live.js";
import { t } from "../parts/texts.js";

/**
 * Asks directly, and says what went wrong.
 * @returns {{ told: string, busy: boolean, tried: (work: () => Promise<any>) => Promise<any>, run: (path: string, body: unknown, method?: string) => Promise<any> }} `tried` and `run` answer nothing when it failed
 */
export function useDirect() {
  const [told, setTold] = useState("");
  const [busy, setBusy] = useState(false);
  const tried = async (/** @type {() => Promise<any>} */ work) => {
    setBusy(true);
    setTold("");
    try {
      const answer = await work();
      changed();
      return answer ?? {};
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setTold(error.status === 0 ? t("paper.offline") : error.errors.map((fault) => fault.detail).join(" ") || error.message);
      return undefined;
    } finally {
      setBusy(false);
    }
  };
  const run = (/** @type {string} */ path, /** @type {unknown} */ body, method = "POST") => tried(() => json(path, { method, body }));
  return { told, busy, tried, run };
}

/** A secret to copy. @param {{ label: string, value: string }} props */
export function Once({ label, value }) {
  return html`<label>${label}<input class="long" readonly value=${value} onFocus=${(/** @type {any} */ event) => event.target.select()} /></label>
    <p class="hint">${t("kennel.once")}</p>`;
}
