// To whom the pups go: how far each placement has come.
import { html } from "../parts/html.js";
import { Trouble } from "../parts/api.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown } from "../parts/states.js";
import { fullDate, money, t } from "../parts/texts.js";

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, pups: import("./health.js").Labelled[] }} props */
export function Placed({ kennel, pups }) {
  const at = { kennel_id: kennel.kennel_id };
  const placements = useAnswer("/v1/kennels/{kennel_id}/placements", at, "?limit=200");
  const buyers = useAnswer("/v1/kennels/{kennel_id}/buyers", at, "?limit=200");
  if (placements.trouble instanceof Trouble && placements.state === "denied") return null;
  return html`<section aria-labelledby="placed"><h2 id="placed">${t("placed.title")}</h2>
    <${Shown} answers=${[placements]}>${() => html`<ul class="lines-of">${pups.map((pup) => {
      const one = placements.data?.items.filter((placement) => placement.dog_id === pup.dog_id).at(-1);
      const buyer = buyers.data?.items.find(({ id }) => id === one?.buyer_id);
      return html`<li key=${pup.dog_id}><strong>${pup.label}</strong> ${one
        ? [t(`stage_of.${one.stage}`), buyer?.name ?? t(`footing.${one.kind}`), one.handed_over_on ? fullDate(one.handed_over_on) : "",
          one.price_minor === null ? "" : money(one.price_minor, one.currency)].filter(Boolean).join(" · ")
        : t("placed.free")}</li>`;
    })}</ul><p><a class="button" href=${address("buyers")}>${t("buyers.title")}</a></p>`}<//></section>`;
}
