// What becomes of something in the queue, as far as one waits for it while a pup sits on the scale.
import { reached } from "../parts/api.js";
import { queue } from "../parts/kept.js";
import { isQuestion } from "../parts/queue.js";

/** So long one waits for the service before the next pup's turn. */
const PATIENCE_MS = 1500;

/** @param {string} id @returns {Promise<"stored" | "asked" | "waits">} */
export function fate(id) {
  return new Promise((told) => {
    let over = () => {};
    const timer = setTimeout(() => end("waits"), PATIENCE_MS);
    /** @param {"stored" | "asked" | "waits"} how */
    function end(how) {
      clearTimeout(timer);
      queueMicrotask(() => over());
      told(how);
    }
    over = queue.items.subscribe((items) => {
      const item = items.find((one) => one.id === id);
      if (!item) end("stored");
      else if (item.state === "refused") end(isQuestion(item) ? "asked" : "waits");
      else if (!reached.peek()) end("waits");
    });
  });
}
