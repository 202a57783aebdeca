// One picture: small in the album, large when it is opened, with what is known of it.
import { html, useEffect, useRef, useState } from "../parts/html.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { Paper } from "../parts/paper.js";
import { State } from "../parts/states.js";
import { t } from "../parts/texts.js";
import { typedOf } from "../parts/typed.js";
import { PDF, pictureOf } from "./pictures.js";

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
/** @typedef {import("../parts/types.d.ts").Schema["KeptAttachment"]} Kept */
/** @typedef {import("../parts/form.js").Field} Field */

/** So far below the screen a picture is fetched already. */
const AHEAD = "300px";

/**
 * The address of a picture once it is here. @param {string} path @param {boolean} wanted
 * @returns {{ address?: string, missed: boolean, again: () => void }}
 */
function useFile(path, wanted) {
  const [address, setAddress] = useState(/** @type {string | undefined} */ (undefined));
  const [missed, setMissed] = useState(false);
  const [turn, setTurn] = useState(0);
  useEffect(() => {
    if (!wanted) return undefined;
    let made = "";
    let over = false;
    setMissed(false);
    pictureOf(path).then((file) => {
      if (over) return;
      made = URL.createObjectURL(file);
      setAddress(made);
    }, () => { if (!over) setMissed(true); });
    return () => {
      over = true;
      if (made) URL.revokeObjectURL(made);
    };
  }, [path, wanted, turn]);
  return { ...(address ? { address } : {}), missed, again: () => setTurn(turn + 1) };
}

/** A square of a list, fetched when it comes near. @param {{ kennel: string, id: string, alt: string }} props */
export function Thumb({ kennel, id, alt }) {
  const place = useRef(/** @type {HTMLElement | null} */ (null));
  const [near, setNear] = useState(false);
  useEffect(() => {
    const look = new IntersectionObserver((seen) => seen.some((one) => one.isIntersecting) && setNear(true), { rootMargin: AHEAD });
    if (place.current) look.observe(place.current);
    return () => look.disconnect();
  }, []);
  const { address, missed } = useFile(`/v1/kennels/${kennel}/attachments/${id}/file?size=320`, near);
  return html`<span class="square" ref=${place}>${address ? html`<img src=${address} alt=${alt} />` : missed ? t("album.missed") : ""}</span>`;
}

/** @param {{ kennel: MyKennel, one: Kept, says: string, back: () => void }} props */
export function Whole({ kennel, one, says, back }) {
  const path = `/v1/kennels/${kennel.kennel_id}/attachments/${one.id}/file`;
  const { address, missed, again } = useFile(`${path}?size=1280`, true);
  // Its room is there before it is: nothing moves when it comes.
  return html`<div class="panel"><p><strong>${says}</strong></p>
    ${missed ? html`<${State} state="offline" again=${again} />`
      : html`<img class="large" width=${one.width_px ?? 4} height=${one.height_px ?? 3} alt=${one.caption ?? t("album.picture")} ...${address ? { src: address } : {}} />`}
    <div class="row"><${Paper} path=${path} name=${`${one.kind}.${one.media_type === "image/png" ? "png" : "jpg"}`}>${t("album.save")}<//>
      <button onClick=${back}>${t("back")}</button></div>
    ${writes(kennel.role) && html`<${Change} kennel=${kennel} one=${one} />`}</div>`;
}

/** What is known of it, changed; or all of it removed. @param {{ kennel: MyKennel, one: Kept }} props */
export function Change({ kennel, one }) {
  const path = `/attachments/${one.id}`;
  const isPaper = one.media_type === PDF;
  const kinds = [...(isPaper ? [] : ["photo"]), ...(one.placement_id ? ["contract"] : []), "test_result", "registration", "other"];
  const fields = /** @type {Field[]} */ ([
    { name: "caption", label: t(isPaper ? "album.paper_caption" : "album.caption") },
    { name: "taken_on", label: t(isPaper ? "album.made_on" : "album.taken_on"), kind: "date" },
    { name: "kind", label: t("album.kind"), kind: "choice", required: true, options: kinds.map((kind) => [kind, t(`album.kind.${kind}`)]) },
    // What hangs on a placement is between buyer and kennel: the booklet shows what hangs on dog and litter.
    ...(one.placement_id ? [] : [{ name: "shown_to_buyer", label: t("album.shown"), kind: "check" }]),
  ]);
  return html`<${Fold} label=${t("album.change")}><${Form} kennel=${kennel.kennel_id} draft=${`attachment/${one.id}`} says="says.attachment" change=${true} fields=${fields}
      first=${typedOf(fields, one)} call=${(/** @type {any} */ body) => ({ method: "PATCH", path, seen: true, body })} /><//>
    <${Fold} label=${t("album.remove")}><p>${t("album.remove_how")}</p><${Form} kennel=${kennel.kennel_id} draft=${`remove/${one.id}`} says="says.attachment" fields=${[]} button=${t("album.remove_sure")}
      call=${() => ({ method: "DELETE", path, seen: true })} /><//>`;
}
