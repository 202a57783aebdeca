// What the pages show of the service: an answer a path, shared by all who show it. First what was kept, then
// what the service says now; read again when something changed (live.js), when a page becomes visible and
// when the queue was sent. It is asked for what is other than the answer here: an unchanged one costs no body,
// and only its time moves on. Each has one of the states of a page (states.js).
import { signal, useEffect, useState } from "./html.js";
import { Trouble, json, session, since, textOf } from "./api.js";
import { forgetAnswer, keepAnswer, lastAnswer } from "./cache.js";
import * as clock from "./clock.js";
import { language } from "./texts.js";

/** @typedef {"loading" | "ready" | "offline" | "error" | "denied" | "gone"} State */
/**
 * @template T
 * @typedef {{ state: State, data?: T, at?: number, tag?: string, trouble?: Trouble }} Answer `tag`: that of `data`
 */
/** @typedef {(path: string, tag?: string) => Promise<{ data: any, tag?: string } | undefined>} Reader nothing: as it was */
/** @typedef {{ path: string, read: Reader, person?: string, shown: import("../vendor/signals.js").Signal<Answer<any>>, users: number, busy?: Promise<void>, again: boolean, failed: number, later?: ReturnType<typeof setTimeout> }} Entry */

/** @type {Map<string, Entry>} */
const entries = new Map();

/** @param {string} path @param {Reader} [read] @returns {Entry} */
export function entry(path, read = since) {
  let found = entries.get(path);
  if (!found) {
    found = { path, read, shown: signal(/** @type {Answer<any>} */ ({ state: "loading" })), users: 0, again: false, failed: 0 };
    entries.set(path, found);
  }
  return found;
}

const FIRST_WAIT = 1_000;
const LONGEST_WAIT = 30_000;

/** What failed and may pass is asked again by itself, later and later, or when the service said. @param {Entry} one @param {number} wait seconds */
function askLater(one, wait) {
  const ms = Math.max(wait * 1000, Math.min(FIRST_WAIT * 2 ** one.failed, LONGEST_WAIT));
  one.failed += 1;
  clearTimeout(one.later);
  one.later = setTimeout(() => { if (one.users > 0) load(one); }, ms);
}

/** @param {Entry} one @returns {Promise<void>} */
function load(one) {
  if (one.busy) {
    // What changed meanwhile may not be in the answer that is under way.
    one.again = true;
    return one.busy;
  }
  one.busy = once(one).finally(() => {
    delete one.busy;
    if (one.again) {
      one.again = false;
      load(one);
    }
  });
  return one.busy;
}

/** @param {Entry} one */
async function once(one) {
  const person = session.peek().who?.person.id;
  if (!person) return;
  const isTheirs = () => session.peek().who?.person.id === person;
  if (one.person !== person) {
    one.person = person;
    one.shown.value = { state: "loading" };
  }
  if (!one.shown.peek().data) {
    const last = await lastAnswer(person, one.path);
    if (!isTheirs()) return;
    if (last) one.shown.value = { state: "loading", ...answered(last) };
  }
  const had = one.shown.peek();
  try {
    const fresh = await one.read(one.path, had.tag);
    if (!isTheirs()) return;
    const now = answered({ ...(fresh ?? had), at: clock.now() });
    one.failed = 0;
    clearTimeout(one.later);
    one.shown.value = { state: "ready", ...now };
    await keepAnswer(person, one.path, now);
  } catch (error) {
    if (!(error instanceof Trouble)) throw error;
    if (!isTheirs()) return;
    if (error.status === 403 || error.status === 404) {
      await forgetAnswer(person, one.path);
      one.shown.value = { state: error.status === 403 ? "denied" : "gone", trouble: error };
    } else {
      const state = error.passes ? "offline" : "error";
      if (error.passes) askLater(one, error.wait);
      one.shown.value = { state, trouble: error, ...(had.data === undefined ? {} : answered(had)) };
    }
  }
}

/** What is shown and kept of an answer. @param {{ data?: any, at?: number, tag?: string }} answer */
const answered = ({ data, at = 0, tag }) => ({ data, at, ...(tag ? { tag } : {}) });

/** Reads an answer, now and again whenever it may be another. @param {Entry} one @param {() => void} told @returns {() => void} ends it */
export function watch(one, told) {
  one.users += 1;
  load(one);
  const end = one.shown.subscribe(told);
  return () => {
    end();
    one.users -= 1;
  };
}

/** Reads again what pages show now. */
export async function readAgain() {
  await Promise.all([...entries.values()].filter((one) => one.users > 0).map(load));
}

// What the service says is asked for anew in the language that a person chose.
language.subscribe(() => { readAgain(); });

/** Forgets all in memory, when another person signs in. */
export function forgetAll() {
  for (const one of entries.values()) one.shown.value = { state: "loading" };
}

/**
 * What the service answers at a path of the kennel, and how that stands.
 * @template {import("./types.d.ts").Readable} P
 * @param {P} path as the published document has it
 * @param {Record<string, string>} at what stands in its braces
 * @param {string} [query]
 * @returns {Answer<import("./types.d.ts").Read<P>>}
 */
export function useAnswer(path, at, query = "") {
  return useEntries([entry(filled(path, at) + query)])[0] ?? { state: "loading" };
}

/**
 * The same of several, as of each pup; the query may name what stands in braces as well.
 * @template {import("./types.d.ts").Readable} P
 * @param {P} path @param {Record<string, string>[]} ats @param {string} [query]
 * @returns {Answer<import("./types.d.ts").Read<P>>[]}
 */
export function useAnswers(path, ats, query = "") {
  return useEntries(ats.map((at) => entry(filled(path + query, at))));
}

/**
 * What the service works out when it is asked with a body, and writes nothing.
 * @template {import("./types.d.ts").Asked} P
 * @param {P} path @param {Record<string, string>} at @param {import("./types.d.ts").Question<P>} body
 * @returns {Answer<import("./types.d.ts").Told<P>>}
 */
export function useAsked(path, at, body) {
  const full = filled(path, at);
  const words = JSON.stringify(body);
  return useEntries([entry(`${full} ${words}`, async () => ({ data: await json(full, { method: "POST", body: JSON.parse(words) }) }))])[0] ?? { state: "loading" };
}

/**
 * A picture of the service's, as text.
 * @param {string} path @param {Record<string, string>} at @param {string} [query]
 * @returns {Answer<string>}
 */
export function useText(path, at, query = "") {
  return useEntries([entry(filled(path, at) + query, async (full) => ({ data: await textOf(full) }))])[0] ?? { state: "loading" };
}

/** @param {string} path @param {Record<string, string>} at */
const filled = (path, at) => path.replace(/\{(\w+)\}/g, (_, name) => encodeURIComponent(at[name] ?? ""));

/** @param {Entry[]} all @returns {Answer<any>[]} */
function useEntries(all) {
  const [, draw] = useState({});
  const names = all.map((one) => one.path).join(" ");
  useEffect(() => {
    let begun = false;
    const over = all.map((one) => watch(one, () => begun && draw({})));
    begun = true;
    return () => {
      for (const end of over) end();
    };
  }, [names]);
  return all.map((one) => one.shown.peek());
}
