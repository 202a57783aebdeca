// The kennel's stream of changes, so that two phones show the same within a second. EventSource cannot send a
// token, so the stream is read by fetch. Lost, it begins anew, later and later up to half a minute; whoever
// comes back to a page reads at once.
import { ask, json, session } from "./api.js";
import { eventsIn } from "./events.js";
import { readAgain } from "./read.js";

const FIRST_WAIT = 500;
const LONGEST_WAIT = 30_000;
/** The service shows every 15 s that it lives; after so long without a sign the line is dead. */
const SILENCE = 40_000;
/** Changes that come together are read together. */
const TOGETHER = 60;

/** @type {ReturnType<typeof setTimeout> | undefined} */
let soon;
export function changed() {
  soon ??= setTimeout(() => {
    soon = undefined;
    readAgain();
  }, TOGETHER);
}

/** @param {string} kennel @returns {() => void} ends it */
export function follow(kennel) {
  const over = new AbortController();
  let wait = FIRST_WAIT;
  /** @type {string | undefined} */
  let last;
  const run = async () => {
    while (!over.signal.aborted && session.peek().state === "in") {
      const line = new AbortController();
      const end = () => line.abort();
      over.signal.addEventListener("abort", end);
      try {
        await listen(kennel, line, last, (id) => {
          last = id ?? last;
          wait = FIRST_WAIT;
        });
      } catch {
        // Tried again below.
      }
      over.signal.removeEventListener("abort", end);
      await pause(wait, over.signal);
      wait = Math.min(wait * 2, LONGEST_WAIT);
    }
  };
  run();
  return () => over.abort();
}

/**
 * @param {string} kennel @param {AbortController} line @param {string | undefined} last
 * @param {(id: string | undefined) => void} heard
 */
async function listen(kennel, line, last, heard) {
  const path = `/v1/kennels/${kennel}/changes`;
  // What has been until now is read as it is, not change by change.
  const from = last ?? String((await json(`${path}?limit=1`)).newest_sequence);
  /** @template T @param {Promise<T>} sign */
  const heardSoon = (sign) => {
    const silent = setTimeout(() => line.abort(), SILENCE);
    return sign.finally(() => clearTimeout(silent));
  };
  const answer = await heardSoon(ask(path, {
    headers: { Accept: "text/event-stream", "Last-Event-ID": from },
    signal: line.signal,
  }));
  heard(from);
  // Between the answers that are shown and this line something may have changed.
  changed();
  const reader = /** @type {ReadableStream<Uint8Array>} */ (answer.body).getReader();
  const decoder = new TextDecoder();
  let text = "";
  for (;;) {
    const { done, value } = await heardSoon(reader.read());
    if (done) return;
    const { events, rest } = eventsIn(text + decoder.decode(value, { stream: true }));
    text = rest;
    for (const id of events) heard(id);
    if (events.length > 0) changed();
  }
}

/** Waits, or less: a network that is back, or a page that is looked at again, ends the wait. @param {number} ms @param {AbortSignal} over */
function pause(ms, over) {
  return new Promise((/** @type {(value?: unknown) => void} */ done) => {
    const timer = setTimeout(end, ms);
    function end() {
      clearTimeout(timer);
      removeEventListener("online", end);
      document.removeEventListener("visibilitychange", end);
      over.removeEventListener("abort", end);
      done();
    }
    addEventListener("online", end);
    document.addEventListener("visibilitychange", end);
    over.addEventListener("abort", end);
  });
}
