// Secret links by which a calendar program shows the kennel's days.
import { html, useState } from "../parts/html.js";
import { Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, t } from "../parts/texts.js";
import { Once, useDirect } from "./secret.js";

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Calendars({ kennel }) {
  const links = useAnswer("/v1/kennels/{kennel_id}/calendar-links", { kennel_id: kennel.kennel_id });
  const { told, busy, run } = useDirect();
  const [name, setName] = useState("");
  const [made, setMade] = useState("");
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const link = await run(`/v1/kennels/${kennel.kennel_id}/calendar-links`, { name });
    if (!link) return;
    setMade(location.origin + link.path);
    setName("");
  };
  return html`<section aria-labelledby="calendars"><h2 id="calendars">${t("calendar.title")}</h2>
    <p>${t("calendar.how")}</p>
    <form class="fields" onSubmit=${send}><label>${t("calendar.name")}<input class="long" required autocomplete="off" value=${name} onInput=${(/** @type {any} */ event) => setName(event.target.value)} /></label>
      <button class="main" disabled=${busy}>${t("calendar.make")}</button><p role="status">${told}</p>
      ${made && html`<${Once} label=${t("calendar.link")} value=${made} />`}</form>
    <${Shown} answers=${[links]}>${() => html`<ul class="lines-of">${links.data?.items.map((one) => html`<li key=${one.id}>${one.name} · ${fullDate(one.created_at.slice(0, 10))}
      <${Form} kennel=${kennel.kennel_id} draft=${`calendar/${one.id}`} says="says.link" fields=${[]} button=${t("kennel.withdraw")}
        call=${() => ({ method: "DELETE", path: `/calendar-links/${one.id}` })} /></li>`)}</ul>`}<//></section>`;
}
