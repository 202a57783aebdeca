// The one client of the service. The access token lives in memory; the refresh token in a cookie that no
// script can read (`/v1/auth/page-session`). Tabs refresh one after the other (a Web Lock), since a refresh
// token is good once. Whatever fails becomes a `Trouble` with plain words.
import { signal } from "./html.js";
import * as clock from "./clock.js";
import { forgetAnswers } from "./cache.js";
import { keep, kept } from "./store.js";
import { language } from "./texts.js";

/** @typedef {import("./types.d.ts").Who} Who */
/**
 * @typedef {{ method?: string, body?: unknown, headers?: Record<string, string>, signal?: AbortSignal, keepalive?: boolean, file?: Blob, large?: boolean }} Asked
 * `file`: sent as what it says it is, instead of a JSON body; `signal`: who asks ends it; `large`: an answer that may be long under way
 */

/** Why something was not answered as asked. */
export class Trouble extends Error {
  /**
   * @param {number} status HTTP status, 0 when the service was not reached
   * @param {string} detail in the service's words
   * @param {{ kind?: string, errors?: { pointer: string, detail: string }[], wait?: number }} [more]
   */
  constructor(status, detail, more = {}) {
    super(detail);
    this.status = status;
    this.kind = more.kind ?? "";
    this.errors = more.errors ?? [];
    /** Seconds to wait, where the service said so. */
    this.wait = more.wait ?? 0;
  }

  /** Whether the same may succeed later, as it is. */
  get passes() {
    return this.status === 0 || this.status === 401 || this.status === 408 || this.status === 429 || this.status >= 500;
  }
}

/**
 * How it stands: `opening` until it is known, `in` with a person (their token may be old while there is no
 * network), `out` when somebody has to sign in; with `last` whose session ended without a sign-out.
 * @type {import("../vendor/signals.js").Signal<{ state: "opening" | "in" | "out", who?: Who, last?: Who }>}
 */
export const session = signal({ state: "opening" });
/** Whether the service was reached at the last try. */
export const reached = signal(true);

/** @type {{ text: string, person: string, until: number } | undefined} */
let token;

/** A line that a network lets die says so to nobody: what has no answer after so long has not reached the service. */
const PATIENCE_MS = 30_000;

/** When to give up, where who asks does not say. Files take as long as they take. @param {Asked} asked */
const limit = ({ signal, file, large }) => signal ?? (file || large ? undefined : AbortSignal.timeout(PATIENCE_MS));

/** @param {string} path @param {Asked} [asked] @returns {Promise<Response>} */
async function fetched(path, asked = {}) {
  const began = Date.now();
  const signal = limit(asked);
  /** @type {Response} */
  let answer;
  try {
    answer = await fetch(path, {
      method: asked.method ?? "GET",
      cache: "no-store",
      redirect: "error",
      keepalive: asked.keepalive ?? false,
      ...(signal ? { signal } : {}),
      ...(asked.body === undefined ? {} : { body: JSON.stringify(asked.body) }),
      ...(asked.file ? { body: asked.file } : {}),
      headers: {
        "Accept-Language": language.peek(),
        ...(asked.file ? { "Content-Type": asked.file.type } : {}),
        ...(asked.body === undefined ? {} : { "Content-Type": asked.method === "PATCH" ? "application/merge-patch+json" : "application/json" }),
        ...asked.headers,
      },
    });
  } catch (error) {
    if (!asked.signal?.aborted) reached.value = false;
    throw new Trouble(0, error instanceof Error ? error.message : "");
  }
  reached.value = true;
  clock.heard(answer.headers.get("Date"), began, Date.now());
  // Unchanged: what was asked for is what the asker has.
  if (answer.ok || answer.status === 304) return answer;
  const problem = await answer.json().catch(() => ({}));
  throw new Trouble(answer.status, problem.detail ?? answer.statusText, {
    kind: String(problem.type ?? "").split(":").pop() ?? "",
    errors: problem.errors ?? [],
    wait: Number(answer.headers.get("Retry-After") ?? 0),
  });
}

/**
 * The JSON of an answer; a line that breaks while it is read is a service not reached.
 * @param {Response} answer @param {(answer: Response) => Promise<any>} [read] @returns {Promise<any>}
 */
export async function bodyOf(answer, read = (one) => one.json()) {
  try {
    return await read(answer);
  } catch (error) {
    reached.value = false;
    throw new Trouble(0, error instanceof Error ? error.message : "");
  }
}

const PAGE = { "X-Denwright-Page": "1" };

/** @param {{ access_token: string, expires_in: number }} begun */
function take(begun) {
  const claims = JSON.parse(atob(String(begun.access_token.split(".")[1]).replace(/-/g, "+").replace(/_/g, "/")));
  // A minute early, so that none runs out under way.
  token = { text: begun.access_token, person: claims.sub, until: Date.now() + (begun.expires_in - 60) * 1000 };
}

/** A good access token of who is shown here. @param {string} [old] one that turned out to be none */
async function accessToken(old) {
  const good = () => token && token.text !== old && token.until > Date.now() ? token.text : undefined;
  const text = good() ?? await navigator.locks.request("denwright-session", async () => {
    const meanwhile = good();
    if (meanwhile) return meanwhile;
    // The cookie is good once. `keepalive` has the browser take the next one in also when this page is left
    // or closed meanwhile; an answer that the network loses ends the session, and one signs in again.
    const answer = await fetched("/v1/auth/page-session/refresh", { method: "POST", headers: PAGE, keepalive: true })
      .catch((/** @type {Trouble} */ trouble) => {
        if (trouble.status === 401 && session.peek().state === "in") ended();
        throw trouble;
      });
    take(await bodyOf(answer));
    return /** @type {{ text: string }} */ (token).text;
  });
  // Another person signed in, in another tab: what is shown here is not theirs, nor is what they would be told.
  const shown = session.peek().who?.person.id;
  if (shown && shown !== token?.person) {
    location.reload();
    throw new Trouble(0, "");
  }
  return text;
}

/** The session is over without a sign-out. @param {Who} [last] whose it was: they go on where they were */
export function ended(last = session.peek().who) {
  session.value = { state: "out", ...(last ? { last } : {}) };
}

/** @param {string} path @param {Asked} [asked] @returns {Promise<Response>} */
export async function ask(path, asked = {}) {
  const with_ = (/** @type {string} */ text) =>
    fetched(path, { ...asked, headers: { ...asked.headers, Authorization: `Bearer ${text}` } });
  const text = await accessToken();
  try {
    return await with_(text);
  } catch (error) {
    if (!(error instanceof Trouble) || error.status !== 401) throw error;
    return with_(await accessToken(text));
  }
}

/** @param {string} path @param {Asked} [asked] @returns {Promise<any>} the answer's JSON */
export async function json(path, asked) {
  const answer = await ask(path, asked);
  return answer.status === 204 ? undefined : bodyOf(answer);
}

/**
 * The JSON of an answer with its tag, or nothing where it is still the one with the tag that one has.
 * @param {string} path @param {string} [tag] @returns {Promise<{ data: any, tag?: string } | undefined>}
 */
export async function since(path, tag) {
  const answer = await ask(path, tag ? { headers: { "If-None-Match": tag } } : {});
  if (answer.status === 304) return undefined;
  const now = answer.headers.get("ETag");
  const data = await bodyOf(answer);
  // A list of which no number of rows was asked for is meant whole. The tag is the first page's: where there
  // are more, it says nothing of them.
  if (!data?.next_cursor || new URLSearchParams(path.split("?")[1]).has("limit")) return { data, ...(now ? { tag: now } : {}) };
  for (let next = data.next_cursor; next;) {
    const page = await bodyOf(await ask(`${path}${path.includes("?") ? "&" : "?"}cursor=${encodeURIComponent(next)}`));
    data.items.push(...page.items);
    next = page.next_cursor;
  }
  return { data: { ...data, next_cursor: null } };
}

/** What is open to whoever has its address. @param {string} path @param {Asked} [asked] @returns {Promise<any>} */
export async function openly(path, asked) {
  const answer = await fetched(path, asked);
  return answer.status === 204 ? undefined : bodyOf(answer);
}

/** @param {string} path @returns {Promise<string>} the answer as text */
export async function textOf(path) {
  return bodyOf(await ask(path), (answer) => answer.text());
}

/** @param {string} path @returns {Promise<Blob>} the answer as a file */
export async function fileOf(path) {
  return bodyOf(await ask(path, { large: true }), (answer) => answer.blob());
}

/** A whole list as a table for a spreadsheet: its pages under one line of names. @param {string} path @returns {Promise<Blob>} */
export async function tableOf(path) {
  let table = "";
  for (let next = /** @type {string | undefined} */ (path); next;) {
    const answer = await ask(next, { large: true, headers: { Accept: "text/csv" } });
    const page = await bodyOf(answer, (one) => one.text());
    table += table ? page.slice(page.indexOf("\n") + 1) : page;
    next = /<([^>]+)>; rel="next"/.exec(answer.headers.get("Link") ?? "")?.[1];
  }
  return new Blob([table], { type: "text/csv" });
}

/** Finds out who is signed in here; without a network, who was at last. */
export async function open() {
  const last = /** @type {Who | undefined} */ (await kept("who"));
  try {
    await opened();
  } catch (error) {
    const away = error instanceof Trouble && error.status !== 401;
    if (away && last) session.value = { state: "in", who: last };
    else ended(last);
  }
}

/** Reads who is signed in, and to which kennels they belong. */
export async function opened() {
  /** @type {Who} */
  const who = await json("/v1/me");
  const last = /** @type {Who | undefined} */ (await kept("who"));
  if (last && last.person.id !== who.person.id) await forgetAnswers();
  await keep("who", who);
  session.value = { state: "in", who };
}

/** @param {{ email: string, password: string, code?: string }} given */
export async function signIn(given) {
  await navigator.locks.request("denwright-session", async () => {
    const answer = await fetched("/v1/auth/page-session", { method: "POST", body: given, headers: PAGE });
    take(await bodyOf(answer));
  });
  await opened();
}

/** Makes the login that an invitation asks for, and signs in. @param {{ name: string, email: string, password: string, invitation: string }} given */
export async function signUp(given) {
  await fetched("/v1/people", { method: "POST", body: given });
  await signIn({ email: given.email, password: given.password });
}

/** Changes the password: this device goes on, with a new cookie; all other sessions end. @param {{ password: string, new_password: string }} given */
export async function changePassword(given) {
  const text = await accessToken();
  await navigator.locks.request("denwright-session", async () => {
    const answer = await fetched("/v1/auth/page-session/password", { method: "POST", body: given, headers: { ...PAGE, Authorization: `Bearer ${text}` } });
    take(await bodyOf(answer));
  });
}

/** Ends the session here, or with `everywhere` all of them; forgets what was read. What is queued stays. */
export async function signOut(everywhere = false) {
  if (everywhere) await ask("/v1/auth/logout-everywhere", { method: "POST" });
  await navigator.locks.request("denwright-session", () =>
    fetched("/v1/auth/page-session", { method: "DELETE", headers: PAGE }).catch((/** @type {Trouble} */ trouble) => {
      // Without the service the cookie stays good: then nobody is signed out.
      if (trouble.status === 0) throw trouble;
    }));
  token = undefined;
  await forgetAnswers();
  await keep("who", undefined);
  session.value = { state: "out" };
}
