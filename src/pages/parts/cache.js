// What the service answered last, by person and path, with its time: shown when there is no network.
import { database } from "./store.js";

/** Raised when fields of the API get other names: an answer from before has none that the pages would find. */
const NAMES = 2;

/** @typedef {{ data: any, at: number, tag?: string }} Kept the answer, when it held (service's time), and its ETag */

/** @param {string} person @param {string} path @returns {Promise<Kept | undefined>} */
export async function lastAnswer(person, path) {
  const found = await (await database()).get("answers", [person, path]);
  return found?.names === NAMES ? found : undefined;
}

/** @param {string} person @param {string} path @param {Kept} answer */
export async function keepAnswer(person, path, { data, at, tag }) {
  await (await database()).put("answers", { person, path, data, at, names: NAMES, ...(tag ? { tag } : {}) });
}

/** Forgets one answer, as when it is not for this person any more. @param {string} person @param {string} path */
export async function forgetAnswer(person, path) {
  await (await database()).delete("answers", [person, path]);
}

/** Forgets all, also what was half written: on signing out, nothing of the kennel stays on the phone. */
export async function forgetAnswers() {
  for (const key of Object.keys(localStorage)) {
    if (/^(draft|round)\//.test(key)) localStorage.removeItem(key);
  }
  await (await database()).clear("answers");
}
