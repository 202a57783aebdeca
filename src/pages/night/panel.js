// One choice of the night: its options, a figure, or a few words. A half-written one is there again when one
// comes back.
import { html, useLayoutEffect, useRef, useState } from "../parts/html.js";
import { t } from "../parts/texts.js";
import { temperatureTyping, warmth } from "../parts/units.js";

/**
 * @param {{ choice: import("./choices.js").Choice, litter: string, pups: { ordinal: number, label: string }[], back: () => void,
 *   write: (event: Record<string, any>, says: string) => void }} props
 */
export function Panel({ choice, litter, pups, write, back }) {
  const title = t(`event.${choice.key}`);
  return html`<section class="panel" aria-label=${title}>
    <h2>${title}</h2>
    ${choice.options && html`<div class="taps">${choice.options.map((option) =>
      html`<button key=${option.says} onClick=${() => write(option.event, option.says)}>${t(option.says)}</button>`)}</div>`}
    ${choice.figure && html`<${Figure} write=${write} />`}
    ${choice.hint && html`<p class="hint">${t(choice.hint)}</p>`}
    ${choice.words && html`<${Words} kind=${choice.key} words=${choice.words} pups=${choice.whom ? pups : undefined} litter=${litter} write=${write} />`}
    <button class="back" onClick=${back}>${t("back")}</button>
  </section>`;
}

/** @param {{ write: (event: Record<string, any>, says: string) => void }} props */
function Figure({ write }) {
  const [text, setText] = useState("");
  const field = useRef(/** @type {HTMLInputElement | null} */ (null));
  // Before it is drawn: later it would take a field away from who is typing already.
  useLayoutEffect(() => { field.current?.focus(); }, []);
  const typing = temperatureTyping();
  const value = typing.kept(Number(text.replace(",", ".")));
  // The bounds of the published document; whether it is a fever the service says.
  const good = text.trim() !== "" && value >= 25 && value <= 45;
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    if (good) write({ kind: "temperature", temperature_c: value }, "event.temperature");
  };
  return html`<form onSubmit=${send}>
    <label>${t("night.temperature", { unit: typing.unit })}
      <input ref=${field} inputmode="decimal" autocomplete="off" value=${text}
        onInput=${(/** @type {any} */ event) => setText(event.target.value)} /></label>
    ${text.length > 3 && !good && html`<p class="warn" role="status">${t("night.temperature_range", { low: warmth(25), high: warmth(45) })}</p>`}
    <button class="main">${t("keep")}</button>
  </form>`;
}

/** @param {{ kind: string, words: import("./choices.js").Words[], pups: { ordinal: number, label: string }[] | undefined, litter: string, write: (event: Record<string, any>, says: string) => void }} props */
function Words({ kind, words, pups, litter, write }) {
  const draft = (/** @type {string} */ name) => `draft/${litter}/${kind}/${name}`;
  const [typed, setTyped] = useState(() => Object.fromEntries(words.map(({ name }) => [name, localStorage.getItem(draft(name)) ?? ""])));
  const type = (/** @type {string} */ name) => (/** @type {any} */ event) => {
    const { value } = event.target;
    setTyped((was) => ({ ...was, [name]: value }));
    localStorage.setItem(draft(name), value);
  };
  const [whom, setWhom] = useState("");
  const to = whom === "" ? {} : whom === "dam" ? { given_to: "dam" } : { given_to: "pup", ...(whom === "pup" ? {} : { ordinal: Number(whom) }) };
  const first = useRef(/** @type {HTMLTextAreaElement | null} */ (null));
  useLayoutEffect(() => { first.current?.focus(); }, []);
  const send = (/** @type {Event} */ event) => {
    event.preventDefault();
    const told = words.map((one) => ({ ...one, text: (typed[one.name] ?? "").trim() }));
    if (told.some(({ must, text }) => must && !text)) return;
    for (const { name } of words) localStorage.removeItem(draft(name));
    write({ kind, ...to, ...Object.fromEntries(told.filter(({ text }) => text).map(({ name, text }) => [name, text])) }, `event.${kind}`);
  };
  return html`<form onSubmit=${send}>
    ${pups && html`<div class="row" role="group" aria-label=${t("night.given_to")}>${[["dam", t("given_to.dam")], ...pups.map(({ ordinal, label }) => [String(ordinal), label]), ["pup", t("given_to.pup")]].map(([one, says]) =>
      html`<button type="button" key=${one} aria-pressed=${whom === one} onClick=${() => setWhom(whom === one ? "" : one ?? "")}>${says}</button>`)}</div>`}
    ${words.map(({ name, says, most, must }, place) => html`<label key=${name}>${t(says)}
      <textarea ref=${place === 0 ? first : undefined} rows=${words.length > 1 ? 1 : 3} name=${name} maxlength=${most} required=${must} value=${typed[name]} onInput=${type(name)}></textarea></label>`)}
    <button class="main">${t("keep")}</button>
  </form>`;
}
