// The service's time on this phone. Each answer tells it (the Date header, in whole seconds); what counts on
// without a network counts from there. Records carry the phone's own time and when they were sent
// (`sent_at`): the service moves them when the phone is wrong.
import { signal } from "./html.js";

/** A phone may differ by so much before it is told. */
const WRONG_MS = 2 * 60_000;

let ahead = 0;
/** Milliseconds by which the phone's clock runs ahead (or, negative, behind), once that is more than 2 min. */
export const wrongBy = signal(0);

/**
 * Takes in what an answer says of the time.
 * @param {string | null} date its Date header
 * @param {number} asked @param {number} answered the phone's times of asking and of the answer
 */
export function heard(date, asked, answered) {
  const told = Date.parse(date ?? "");
  // An answer that was long under way tells little.
  if (Number.isNaN(told) || answered - asked > 10_000) return;
  // Whole seconds: the moment lay somewhere in the second that the header names.
  ahead = (asked + answered) / 2 - (told + 500);
  const wrong = Math.abs(ahead) > WRONG_MS ? Math.round(ahead) : 0;
  if (Math.abs(wrong - wrongBy.peek()) > 1000) wrongBy.value = wrong;
}

/** Now, by the service's clock. */
export function now() {
  return Math.abs(ahead) > 1000 ? Date.now() - ahead : Date.now();
}

/** A time that the phone wrote, by the service's clock. @param {number} at */
export function asService(at) {
  return Math.abs(ahead) > WRONG_MS ? at - ahead : at;
}
