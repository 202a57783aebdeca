// A form: its fields as data, what was half written kept on the phone, sent by the queue, and what the service
// says about it beside the field. A question of the service can be answered with "it is meant".
import { html, useLayoutEffect, useRef, useState } from "./html.js";
import { fate } from "./fate.js";
import { queue } from "./kept.js";
import { isQuestion } from "./queue.js";
import { t } from "./texts.js";
import { recordOf } from "./typed.js";
import { wrote } from "./undo.js";

/** @typedef {import("./typed.js").Field} Field */
/** @typedef {import("./typed.js").Values} Values */
/** @typedef {import("./typed.js").Fault} Fault */

/**
 * @param {{ kennel: string, draft: string, says: string, fields: Field[], first?: Values, change?: boolean, button?: string,
 *   call?: (record: Values, all: Values) => import("./queue.js").Call, row?: (record: Values) => Omit<import("./queue.js").Row, "id">, done?: () => void, plain?: (detail: string) => string, children?: any }} props
 * `first`: what stands there to begin with, as typed; `change`: what differs from that is sent, and an emptied field is emptied in the record; `all` is the whole of it;
 * `plain`: what is wrong and belongs to no field, in the words of the page;
 * `row`, in the place of `call`: what is written is an observation, and can be taken back at once
 */
export function Form({ kennel, draft, says, fields, first = {}, change = false, button, call, row, done, plain = (detail) => detail, children }) {
  const place = `draft/${draft}`;
  const [typed, setTyped] = useState(() => ({ ...first, ...JSON.parse(localStorage.getItem(place) ?? "{}") }));
  const began = useRef(first);
  const read = useRef(first);
  const [faults, setFaults] = useState(/** @type {Fault[]} */ ([]));
  const [asks, setAsks] = useState(false);
  const [told, setTold] = useState("");
  const [busy, setBusy] = useState(false);
  const set = (/** @type {string} */ name, /** @type {any} */ value) => setTyped((/** @type {Values} */ was) => {
    const now = { ...was, [name]: value };
    localStorage.setItem(place, JSON.stringify(now));
    return now;
  });
  // Where the record is changed elsewhere while the form is open, what nobody touched here follows.
  useLayoutEffect(() => {
    const changed = Object.keys(first).filter((name) => change && JSON.stringify(first[name]) !== JSON.stringify(read.current[name]));
    read.current = first;
    const untouched = changed.filter((name) => typed[name] === began.current[name]);
    if (untouched.length === 0) return;
    const now = Object.fromEntries(untouched.map((name) => [name, first[name]]));
    began.current = { ...began.current, ...now };
    setTyped((/** @type {Values} */ was) => ({ ...was, ...now }));
  });
  const send = async (/** @type {boolean} */ confirmed) => {
    setFaults([]);
    setTold("");
    const all = recordOf(fields, typed, change);
    // What somebody else wrote meanwhile in other fields stays.
    const record = change ? Object.fromEntries(Object.entries(all).filter(([name]) => typed[name] !== began.current[name])) : all;
    if (change && Object.keys(record).length === 0) {
      setTold(t("form.stored"));
      return;
    }
    setBusy(true);
    const meant = confirmed ? { ...record, confirmed } : record;
    const item = queue.add({ kennel, says, ...(row ? { row: row(meant) } : call ? { call: call(meant, all) } : {}) });
    const became = await fate(item.id);
    setBusy(false);
    setAsks(became.item !== undefined && isQuestion(became.item));
    if (became.item) {
      // It is mended here, not in the list of what was refused.
      queue.takeBack(item.id);
      setFaults(became.item.why.map((fault) => ({ ...fault, pointer: fault.pointer.replace(/^\/record(?=\/|$)/, "") })));
      return;
    }
    if (row) wrote(t("wrote", { what: t(says) }), [item]);
    localStorage.removeItem(place);
    if (change) began.current = typed;
    else setTyped(first);
    setTold(t(became.how === "stored" ? "form.stored" : "form.kept"));
    if (became.how === "stored") done?.();
  };
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    if (!busy) send(false);
  };
  const other = faults.filter((fault) => !fields.some((field) => isOf(fault, field)));
  return html`<form class="fields" onSubmit=${submit}>
    ${fields.map((field) => html`<${OneField} key=${field.name} field=${field} form=${draft} value=${typed[field.name] ?? ""}
      set=${(/** @type {any} */ value) => set(field.name, value)} faults=${faults.filter((fault) => isOf(fault, field))} />`)}
    ${children}
    ${other.length > 0 && html`<div class="warn" role="alert">${other.map((fault) => html`<p>${plain(fault.detail)}</p>`)}</div>`}
    <div class="row"><button class=${fields.length > 0 ? "main" : ""} disabled=${busy}>${button ?? t("keep")}</button>
      ${asks && html`<button type="button" onClick=${() => send(true)}>${t("outbox.meant")}</button>`}</div>
    <p class="told" role="status">${told}</p>
  </form>`;
}

/** Whether a fault is of a field. @param {Fault} fault @param {Field} field */
export const isOf = (fault, field) => `${fault.pointer}/`.startsWith(`/${field.name}/`);

/** @param {{ field: Field, form: string, value: any, set: (value: any) => void, faults: Fault[] }} props */
export function OneField({ field, form, value, set, faults }) {
  const { kind = "text", options, required = false } = field;
  const id = `${form}-${field.name}`.replace(/[^\w-]/g, "-");
  const typed = (/** @type {any} */ event) => set(event.target.value);
  const about = { id, required, onInput: typed, "aria-invalid": faults.length > 0 || undefined,
    "aria-describedby": faults.length > 0 ? `${id}-why` : field.hint ? `${id}-hint` : undefined };
  const type = { number: "text", money: "text", date: "date", time: "time", moment: "datetime-local", email: "email" }[/** @type {string} */ (kind)] ?? "text";
  const mode = kind === "number" || kind === "money" ? "decimal" : undefined;
  const why = faults.length > 0 && html`<div class="warn" role="alert" id=${`${id}-why`}>${faults.map((fault) => html`<p>${fault.detail}</p>`)}</div>`;
  if (kind === "many") {
    const chosen = /** @type {string[]} */ (value || []);
    const tick = (/** @type {string} */ one, /** @type {boolean} */ on) => set((options ?? []).map(([each]) => each).filter((each) => (each === one ? on : chosen.includes(each))));
    return html`<fieldset class="field" aria-describedby=${about["aria-describedby"]}><legend>${field.label}</legend>
      ${field.hint && html`<p class="hint" id=${`${id}-hint`}>${field.hint}</p>`}
      <div class="ticks">${(options ?? []).map(([one, words]) => html`<label key=${one}><input type="checkbox" checked=${chosen.includes(one)}
        onChange=${(/** @type {any} */ event) => tick(one, event.target.checked)} /> ${words}</label>`)}</div>${why}</fieldset>`;
  }
  return html`<div class=${`field ${kind === "check" ? "tick" : ""}`}>
    <label for=${id}>${field.label}</label>
    ${kind === "choice"
      ? html`<select ...${about} value=${value}>${[["", required ? t("form.choose") : "–"], ...(options ?? [])].map(([one, words]) =>
          html`<option value=${one} selected=${one === value}>${words}</option>`)}</select>`
      : kind === "lines" ? html`<textarea ...${about} rows="3" value=${value}></textarea>`
      : kind === "check" ? html`<input id=${id} type="checkbox" checked=${value === true} onChange=${(/** @type {any} */ event) => set(event.target.checked)} />`
      : html`<input ...${about} type=${type} inputmode=${mode} autocomplete="off" value=${value} />`}
    ${field.hint && html`<p class="hint" id=${`${id}-hint`}>${field.hint}</p>`}
    ${why}
  </div>`;
}

/** Something that is opened when it is wanted, and drawn and read only then. @param {{ label: any, children: any }} props */
export function Fold({ label, children }) {
  const [wanted, setWanted] = useState(false);
  return html`<details class="fold" onToggle=${(/** @type {any} */ event) => event.currentTarget.open && setWanted(true)}><summary>${label}</summary>${wanted && children}</details>`;
}
