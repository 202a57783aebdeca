// Secret links by which a calendar program shows the kennel's days; each shows what is chosen for it.
import { html, useState } from "../parts/html.js";
import { json } from "../parts/api.js";
import { Fold, Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, t } from "../parts/texts.js";
import { Once, useDirect } from "./secret.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {Schema["CalendarLink"]} Link */
/** @type {Schema["CalendarKind"][]} */
const KINDS = ["whelping", "go_home", "health", "heats", "chores", "absences"];
/** What is ticked to begin with; a link with no kinds shows everything. @type {Link} */
const NEW = { name: "", kinds: KINDS, alarms: false };

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Calendars({ kennel }) {
  const base = `/v1/kennels/${kennel.kennel_id}/calendar-links`;
  const links = useAnswer("/v1/kennels/{kennel_id}/calendar-links", { kennel_id: kennel.kennel_id });
  const [made, setMade] = useState("");
  return html`<section aria-labelledby="calendars"><h2 id="calendars">${t("calendar.title")}</h2>
    <p>${t("calendar.how")}</p>
    <${Choice} first=${NEW} button=${t("calendar.make")} path=${base} done=${(/** @type {any} */ link) => setMade(location.origin + link.path)}>
      ${made && html`<${Once} label=${t("calendar.link")} value=${made} />`}<//>
    <${Shown} answers=${[links]}>${() => html`<ul class="lines-of">${links.data?.items.map((one) => html`<li key=${one.id}>${one.name} · ${fullDate(one.created_at.slice(0, 10))}
      <${Fold} label=${t("calendar.change")}><${Choice} key=${one.version} first=${{ name: one.name, kinds: one.kinds?.length ? one.kinds : KINDS, alarms: one.alarms ?? false }}
        button=${t("keep")} path=${`${base}/${one.id}`} seen=${one.version} /><//>
      <${Form} kennel=${kennel.kennel_id} draft=${`calendar/${one.id}`} says="says.link" fields=${[]} button=${t("kennel.withdraw")}
        call=${() => ({ method: "DELETE", path: `/calendar-links/${one.id}` })} /></li>`)}</ul>`}<//></section>`;
}

/**
 * What a link is for and what it shows; made at once, since its address is told once.
 * @param {{ first: Link, button: string, path: string, seen?: number, done?: (link: any) => void, children?: any }} props
 */
function Choice({ first, button, path, seen, done, children }) {
  const { told, busy, tried } = useDirect();
  const [typed, setTyped] = useState(first);
  const kinds = typed.kinds ?? [];
  const tick = (/** @type {Schema["CalendarKind"]} */ kind, /** @type {boolean} */ on) =>
    setTyped({ ...typed, kinds: KINDS.filter((one) => (one === kind ? on : kinds.includes(one))) });
  const send = async (/** @type {Event} */ event) => {
    event.preventDefault();
    const body = { ...typed, kinds: kinds.length === KINDS.length ? [] : kinds };
    const how = seen ? { method: "PUT", headers: { "If-Match": `"${seen}"` } } : { method: "POST" };
    const link = await tried(() => json(path, { ...how, body }));
    if (!link) return;
    if (!seen) setTyped(first);
    done?.(link);
  };
  return html`<form class="fields" onSubmit=${send}>
    <label>${t("calendar.name")}<input class="long" required autocomplete="off" value=${typed.name} onInput=${(/** @type {any} */ event) => setTyped({ ...typed, name: event.target.value })} /></label>
    <fieldset><legend>${t("calendar.shows")}</legend><div class="ticks">${KINDS.map((kind) => html`<label><input type="checkbox" checked=${kinds.includes(kind)}
      onChange=${(/** @type {any} */ event) => tick(kind, event.target.checked)} /> ${t(`calendar_kind.${kind}`)}</label>`)}</div></fieldset>
    <div class="ticks"><label><input type="checkbox" checked=${typed.alarms} onChange=${(/** @type {any} */ event) => setTyped({ ...typed, alarms: event.target.checked })} /> ${t("calendar.alarms")}</label></div>
    <button class="main" disabled=${busy || kinds.length === 0}>${button}</button><p role="status">${told}</p>${children}</form>`;
}
