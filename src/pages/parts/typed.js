// What is typed into a form, and the record that it means. Plain values in, plain values out.
import { localAt, momentOf } from "./texts.js";

/**
 * @typedef {object} Field
 * @property {string} name as the published document has it
 * @property {string} label what it is called, in words
 * @property {"text" | "lines" | "number" | "date" | "time" | "moment" | "choice" | "many" | "check" | "money" | "email"} [kind]
 * @property {[string, string][]} [options] value and words
 * @property {boolean} [required]
 * @property {string} [hint]
 */
/** @typedef {Record<string, any>} Values */
/** @typedef {{ pointer: string, detail: string }} Fault */

/** What is typed as the service takes it; what is empty is left out, or null in a change. @param {Field[]} fields @param {Values} typed @param {boolean} [change] */
export function recordOf(fields, typed, change = false) {
  /** @type {Values} */
  const record = {};
  for (const { name, kind } of fields) {
    const text = String(typed[name] ?? "").trim();
    if (kind === "check") record[name] = typed[name] === true;
    else if (kind === "many") record[name] = typed[name] ?? [];
    else if (text === "") { if (change) record[name] = null; }
    else if (kind === "number") record[name] = Number(text.replace(",", "."));
    else if (kind === "money") record[name] = Math.round(Number(text.replace(",", ".")) * 100);
    else if (kind === "moment") record[name] = new Date(momentOf(text)).toISOString();
    else record[name] = text;
  }
  return record;
}

/** A record as it is typed. @param {Field[]} fields @param {Values} record */
export function typedOf(fields, record) {
  return Object.fromEntries(fields.map(({ name, kind }) => {
    const value = record[name];
    if (kind === "many") return [name, value ?? []];
    if (value === null || value === undefined) return [name, ""];
    if (kind === "moment") return [name, localAt(Date.parse(value))];
    if (kind === "money") return [name, String(value / 100)];
    return [name, kind === "check" ? value : String(value)];
  }));
}
