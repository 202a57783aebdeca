// What the pages say, by key: texts/en.js and texts/de.js, which have the same keys (a test holds them to it).
// The language is the browser's until a person chooses; the service is asked to answer in it. Sources are cited
// as they are called, marked as English for a screen reader.
import { signal } from "./html.js";
import en from "../texts/en.js";
import de from "../texts/de.js";

/** @typedef {keyof typeof en} Key */
/** @typedef {"en" | "de"} Language */
/** @type {Record<Language, Record<string, string>>} */
const catalogue = { en, de };
/** @type {Record<Language, string>} */
export const languages = { en: "English", de: "Deutsch" };

/** @returns {Language} */
function first() {
  const chosen = globalThis.localStorage?.getItem("language");
  const wished = [chosen, ...(globalThis.navigator?.languages ?? [])];
  const known = wished.map((one) => one?.slice(0, 2)).find((one) => one === "en" || one === "de");
  return known === "de" ? "de" : "en";
}

/**
 * Takes in the texts of a page, which come with the page.
 * @param {Record<Language, Record<string, string>>} more
 */
export function learn(more) {
  for (const one of /** @type {Language[]} */ (Object.keys(catalogue))) Object.assign(catalogue[one], more[one]);
}

export const language = signal(first());
language.subscribe((chosen) => {
  if (globalThis.document) document.documentElement.lang = chosen;
});

/** @param {Language} chosen */
export function speak(chosen) {
  localStorage.setItem("language", chosen);
  language.value = chosen;
}

/**
 * A text, with what stands in its braces. Of a count, `KEY.one` is taken for 1 where there is one.
 * @param {Key | (string & {})} key @param {Record<string, string | number>} [values]
 */
export function t(key, values = {}) {
  const texts = catalogue[language.peek()];
  const text = (values["count"] === 1 ? texts[`${key}.one`] : undefined) ?? texts[key] ?? key;
  return text.replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));
}

/** The zone in which days and times are told: the kennel's. */
export const zone = signal(/** @type {string | undefined} */ (undefined));

/** @param {Intl.DateTimeFormatOptions} options @param {number | string} at */
function told(options, at) {
  const timeZone = zone.peek();
  const locale = language.peek() === "de" ? "de-DE" : "en-GB";
  return new Intl.DateTimeFormat(locale, { ...options, ...(timeZone ? { timeZone } : {}) }).format(new Date(at));
}

/** `06:58`. @param {number | string} at */
export const time = (at) => told({ hour: "2-digit", minute: "2-digit" }, at);
/** A time of today by the hour, of other days with its day. @param {number | string} at @param {number} now */
export function moment(at, now) {
  const day = { day: "numeric", month: "short" };
  const same = told({ dateStyle: "short" }, at) === told({ dateStyle: "short" }, now);
  return same ? time(at) : told({ ...(/** @type {any} */ (day)), hour: "2-digit", minute: "2-digit" }, at);
}
/** A day of the calendar, in no zone. @param {string} day `2026-05-17` */
export function date(day) {
  const locale = language.peek() === "de" ? "de-DE" : "en-GB";
  return new Intl.DateTimeFormat(locale, { weekday: "short", day: "numeric", month: "short", timeZone: "UTC" })
    .format(new Date(`${day}T00:00:00Z`));
}
/** `17 May`, for tables. @param {string} day */
export function shortDate(day) {
  const locale = language.peek() === "de" ? "de-DE" : "en-GB";
  return new Intl.DateTimeFormat(locale, { day: "numeric", month: "short", timeZone: "UTC" }).format(new Date(`${day}T00:00:00Z`));
}
/** A day with its year, for what lies further off. @param {string} day */
export function fullDate(day) {
  const locale = language.peek() === "de" ? "de-DE" : "en-GB";
  return new Intl.DateTimeFormat(locale, { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" })
    .format(new Date(`${day}T00:00:00Z`));
}
/** A moment as a field for date and time has it, `2026-05-17T03:12`, by the kennel's clock. @param {number} at */
export function localAt(at) {
  const clock = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", ...(zone.peek() ? { timeZone: zone.peek() } : {}) });
  return `${dayOf(at)}T${clock.format(new Date(at))}`;
}
/** The moment that such a field means. @param {string} local */
export function momentOf(local) {
  const wished = Date.parse(`${local}Z`);
  let at = wished;
  // Twice, since the zone's offset may change between the two.
  for (let turn = 0; turn < 2; turn += 1) at += wished - Date.parse(`${localAt(at)}Z`);
  return at;
}
/** @param {number | null | undefined} minor cents @param {string | null | undefined} currency */
export function money(minor, currency) {
  if (typeof minor !== "number") return "–";
  const locale = language.peek() === "de" ? "de-DE" : "en-GB";
  return new Intl.NumberFormat(locale, { style: "currency", currency: currency ?? "EUR" }).format(minor / 100);
}
/** The kennel's day of a moment, `2026-05-17`. @param {number} at */
export function dayOf(at) {
  const timeZone = zone.peek();
  return new Intl.DateTimeFormat("en-CA", { dateStyle: "short", ...(timeZone ? { timeZone } : {}) }).format(new Date(at));
}
/** `1 h 05 min`, `12 min`. @param {number} minutes */
export function span(minutes) {
  const whole = Math.max(0, Math.floor(minutes));
  const hours = Math.floor(whole / 60);
  if (hours >= 48) return t("span.days", { days: Math.floor(hours / 24) });
  return hours > 0
    ? t("span.hours", { hours, minutes: String(whole % 60).padStart(2, "0") })
    : t("span.minutes", { minutes: whole });
}
/** @param {number} value @param {number} [digits] */
export function number(value, digits = 0) {
  const locale = language.peek() === "de" ? "de-DE" : "en-GB";
  return value.toLocaleString(locale, { minimumFractionDigits: digits, maximumFractionDigits: digits });
}
