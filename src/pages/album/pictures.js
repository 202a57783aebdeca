// Files of pictures. One never changes, so that it is asked for once: small ones are kept on the phone beside the
// answers of the same person, and go with them when somebody signs out.
import { fileOf, session } from "../parts/api.js";
import { keepAnswer, lastAnswer } from "../parts/cache.js";
import * as clock from "../parts/clock.js";

/** What is no picture. */
export const PDF = "application/pdf";

/** @param {string} path @returns {Promise<Blob>} */
export async function pictureOf(path) {
  const person = session.peek().who?.person.id ?? "";
  const last = await lastAnswer(person, path);
  if (last) return last.data;
  const file = await fileOf(path);
  const isTheirs = session.peek().who?.person.id === person;
  // Without room on the phone it is asked for again the next time.
  if (isTheirs && path.endsWith("size=320")) await keepAnswer(person, path, { data: file, at: clock.now() }).catch(() => {});
  return file;
}
