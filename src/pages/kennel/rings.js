// Of what one is rung, by which way and when; the devices that ring; a test, and the daily letter.
import { html, useEffect, useState } from "../parts/html.js";
import { Trouble, json } from "../parts/api.js";
import { Fold, Form } from "../parts/form.js";
import { changed } from "../parts/live.js";
import { Hindered, browser, deviceName, hinders, noted, ringHere, stop } from "../parts/push.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { fullDate, language, languages, learn, t } from "../parts/texts.js";
import en from "../texts/en/rings.js";
import de from "../texts/de/rings.js";
import { Duty } from "./duty.js";
import { KINDS, LEVELS, asTyped, chosen } from "./ring-choices.js";
import { useDirect } from "./secret.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
/** @typedef {import("../parts/types.d.ts").Schema["RingSettings"]} Settings */
/** @typedef {import("../parts/form.js").Field} Field */

/** The version of what nobody has chosen yet. */
const NEVER = '"0"';

/** @param {{ kennel: MyKennel }} props */
export function Rings({ kennel }) {
  const rings = useAnswer("/v1/kennels/{kennel_id}/rings", { kennel_id: kennel.kennel_id });
  return html`<section aria-labelledby="rings"><h2 id="rings">${t("rings.title")}</h2>
    <${Shown} answers=${[rings]}>${() => {
      const settings = /** @type {Settings} */ (rings.data);
      // Who never chose is spoken to as these pages speak to them.
      const choices = rings.tag === NEVER ? { ...settings.choices, language: language.peek() } : settings.choices;
      const of = { kennel, settings: { ...settings, choices } };
      return html`<p>${standing(settings)}</p>
        <${Here} ...${of} tag=${rings.tag ?? ""} />
        <${Choices} ...${of} /><${Letter} ...${of} /><${Test} kennel=${kennel} />
        <${Duty} kennel=${kennel} choices=${choices} />`;
    }}<//></section>`;
}

/** How one is rung, in a sentence. @param {Settings} settings */
function standing({ choices, devices, sends_mail }) {
  const ways = choices.ways ?? [];
  const by = [ways.includes("push") && devices.length > 0 ? t("rings.on_devices", { count: devices.length }) : "", ways.includes("mail") && sends_mail ? t("rings.by_mail") : ""].filter(Boolean);
  return by.length > 0 ? t("rings.rings", { ways: by.join(` ${t("rings.and")} `) }) : t("rings.silent");
}

/** @param {{ kennel: MyKennel, settings: Settings, tag: string }} props This device, and the others of the same person. */
function Here({ kennel, settings, tag }) {
  const { choices, devices, push_key: key } = settings;
  const id = kennel.kennel_id;
  const [own, setOwn] = useState(/** @type {string | undefined} */ (undefined));
  const [name, setName] = useState(deviceName(navigator.userAgent));
  const [told, setTold] = useState("");
  const [busy, setBusy] = useState(false);
  const look = async () => setOwn((await noted(id))?.id);
  useEffect(() => { look(); }, [id, devices.map((one) => one.id).join()]);
  const done = async (/** @type {() => Promise<unknown>} */ work) => {
    setBusy(true);
    setTold("");
    try {
      await work();
      changed();
    } catch (error) {
      if (error instanceof Hindered) setTold(t(error.message));
      else if (error instanceof Trouble) setTold(error.status === 0 ? t("paper.offline") : error.errors[0]?.detail ?? error.message);
      else throw error;
    } finally {
      await look();
      setBusy(false);
    }
  };
  const ring = async () => {
    await ringHere(id, key, name.trim());
    if (!choices.ways?.includes("push")) await json(`/v1/kennels/${id}/rings`, { method: "PUT", headers: { "If-Match": tag }, body: chosen(choices, { push: true }) });
  };
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    done(ring);
  };
  const hindered = hinders(browser());
  const rings = devices.some((one) => one.id === own);
  return html`<h3>${t("rings.devices")}</h3>
    <ul class="lines-of devices">${devices.map((one) => html`<li key=${one.id}>${one.name} · ${t("rings.since", { day: fullDate(one.created_at.slice(0, 10)) })}${one.id === own ? ` · ${t("rings.this")}` : ""}
      <div class="row"><button disabled=${busy} aria-label=${t("rings.remove_which", { name: one.name })} onClick=${() => done(() => stop(id, one.id))}>${t("rings.remove")}</button></div></li>`)}</ul>
    ${rings ? null : hindered ? html`<p class="hindered">${t(hindered)}</p>`
      : html`<form class="fields ring-here" onSubmit=${send}><label>${t("rings.name")}<input class="long" required maxlength="100" autocomplete="off" value=${name}
          onInput=${(/** @type {any} */ event) => setName(event.target.value)} /></label>
        <p class="hint">${t("rings.asks")}</p><button class="main" disabled=${busy}>${t("rings.here")}</button></form>`}
    <p class="told" role="status">${told}</p>`;
}

/** @param {{ kennel: MyKennel, settings: Settings }} props */
function Choices({ kennel, settings }) {
  const today = useAnswer("/v1/kennels/{kennel_id}/today", { kennel_id: kennel.kennel_id });
  const { choices, sends_mail } = settings;
  const litters = (today.data?.litters ?? []).map((one) => /** @type {[string, string]} */ ([one.litter_id, one.name ?? t("litter.unnamed")]));
  // One that is over stays chosen until it is unticked.
  const others = (choices.litter_ids ?? []).filter((id) => !litters.some(([one]) => one === id)).map((id) => /** @type {[string, string]} */ ([id, t("rings.litter_over")]));
  const fields = /** @type {Field[]} */ ([
    { name: "push", label: t("rings.way_push"), kind: "check" },
    { name: "mail", label: t("rings.way_mail"), kind: "check", ...(sends_mail ? {} : { hint: t("rings.no_mail") }) },
    { name: "level", label: t("rings.level"), kind: "choice", required: true, options: LEVELS.map((one) => [one, t(`rings.level.${one}`)]) },
    { name: "kinds", label: t("rings.kinds"), kind: "many", hint: t("rings.none_is_all"), options: KINDS.map((one) => [one, t(`rings.kind.${one}`)]) },
    { name: "litter_ids", label: t("rings.litters"), kind: "many", hint: t("rings.none_is_all"), options: [...litters, ...others] },
    { name: "quiet/begin", label: t("rings.quiet_begin"), kind: "time", hint: t("rings.quiet_how") },
    { name: "quiet/end", label: t("rings.quiet_end"), kind: "time" },
    { name: "quiet/emergencies", label: t("rings.quiet_emergencies"), kind: "check" },
    { name: "unseen_minutes", label: t("rings.unseen"), kind: "number", hint: t("rings.unseen_how") },
    { name: "tasks_at", label: t("rings.tasks"), kind: "time", hint: t("rings.tasks_how") },
    { name: "language", label: t("rings.language"), kind: "choice", required: true, options: Object.entries(languages) },
  ]).filter(({ name }) => name !== "litter_ids" || litters.length + others.length > 0);
  return html`<${Fold} label=${t("rings.choose")}><${Form} kennel=${kennel.kennel_id} draft="rings" says="says.rings" fields=${fields} change=${true} first=${asTyped(choices)}
    call=${(/** @type {any} */ _, /** @type {any} */ all) => ({ method: "PUT", path: "/rings", seen: true, body: chosen(choices, all) })} /><//>`;
}

/** @param {{ kennel: MyKennel, settings: Settings }} props */
function Letter({ kennel, settings: { choices, sends_mail } }) {
  const fields = /** @type {Field[]} */ ([{ name: "letter_at", label: t("letter.at"), kind: "time", hint: t("letter.how") }]);
  return html`<${Fold} label=${choices.letter_at ? t("letter.on", { time: choices.letter_at }) : t("letter.off")}>
    ${!sends_mail && html`<p class="hint">${t("rings.no_mail")}</p>`}
    <${Form} kennel=${kennel.kennel_id} draft="letter" says="says.rings" fields=${fields} change=${true} first=${asTyped(choices)}
      call=${(/** @type {any} */ _, /** @type {any} */ all) => ({ method: "PUT", path: "/rings", seen: true, body: chosen(choices, all) })} /><//>`;
}

/** @param {{ kennel: MyKennel }} props */
function Test({ kennel }) {
  const { told, busy, run } = useDirect();
  const [sent, setSent] = useState(0);
  const test = async () => {
    setSent(0);
    setSent((await run(`/v1/kennels/${kennel.kennel_id}/rings/test`, {}))?.messages ?? 0);
  };
  return html`<div class="row"><button disabled=${busy} onClick=${test}>${t("rings.test")}</button></div>
    <p class="test-told" role="status">${sent > 0 ? t("rings.tested", { count: sent }) : told}</p>`;
}
