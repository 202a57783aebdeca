// The number to ring, written down before it is needed: an owner sets it, everybody sees it in the banner.
import { html, useEffect, useState } from "../parts/html.js";
import { Trouble, ask, json } from "../parts/api.js";
import { Frame } from "../parts/frame.js";
import { changed } from "../parts/live.js";
import { useAnswer } from "../parts/read.js";
import { Shown, State } from "../parts/states.js";
import { t } from "../parts/texts.js";

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function VetNumber({ kennel }) {
  const path = `/v1/kennels/${kennel.kennel_id}`;
  const own = useAnswer("/v1/kennels/{kennel_id}", { kennel_id: kennel.kennel_id });
  const [number, setNumber] = useState("");
  const [told, setTold] = useState("");
  useEffect(() => { setNumber(own.data?.vet_phone ?? ""); }, [own.data?.vet_phone]);
  const save = async (/** @type {Event} */ event) => {
    event.preventDefault();
    try {
      const seen = await ask(path);
      const etag = seen.headers.get("ETag") ?? "";
      await json(path, { method: "PATCH", headers: { "If-Match": etag }, body: { vet_phone: number.trim() || null } });
      setTold(t("vet.kept"));
      changed();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setTold(error.status === 0 ? t("state.offline") : error.errors.map((fault) => fault.detail).join(" ") || error.message);
    }
  };
  return html`<${Frame} title=${t("vet.title")} kennel=${kennel.kennel_id}>
    ${kennel.role === "owner"
      ? html`<${Shown} answers=${[own]}>${() => html`<form onSubmit=${save}>
          <label>${t("vet.number")}
            <input type="tel" autocomplete="off" value=${number} onInput=${(/** @type {any} */ event) => setNumber(event.target.value)} /></label>
          <button class="main">${t("keep")}</button>
          <p role="status">${told}</p>
        </form>`}<//>`
      : html`<${State} state="denied" detail=${undefined} />`}
  <//>`;
}
