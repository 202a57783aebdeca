// Something that the service shows once: made at once and not by the queue, which keeps no answers.
import { html, useState } from "../parts/html.js";
import { Trouble, json } from "../parts/api.js";
import { changed } from "../parts/live.js";
import { t } from "../parts/texts.js";

/**
 * Asks directly, and says what went wrong.
 * @returns {{ told: string, busy: boolean, run: (path: string, body: unknown, method?: string) => Promise<any> }} `run` answers nothing when it failed
 */
export function useDirect() {
  const [told, setTold] = useState("");
  const [busy, setBusy] = useState(false);
  const run = async (/** @type {string} */ path, /** @type {unknown} */ body, method = "POST") => {
    setBusy(true);
    setTold("");
    try {
      const answer = await json(path, { method, body });
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
  return { told, busy, run };
}

/** A secret to copy. @param {{ label: string, value: string }} props */
export function Once({ label, value }) {
  return html`<label>${label}<input class="long" readonly value=${value} onFocus=${(/** @type {any} */ event) => event.target.select()} /></label>
    <p class="hint">${t("kennel.once")}</p>`;
}
