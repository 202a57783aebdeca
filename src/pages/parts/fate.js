// What becomes of something in the queue, as far as one waits for it: while a pup sits on the scale, or a form
// is open.
import { reached } from "./api.js";
import { queue } from "./kept.js";

/** So long one waits for the service before going on. */
const PATIENCE_MS = 1500;

/** @typedef {{ how: "stored" | "refused" | "waits", item?: import("./queue.js").Item }} Fate */

/** @param {string} id @returns {Promise<Fate>} */
export function fate(id) {
  return new Promise((told) => {
    let over = () => {};
    const timer = setTimeout(() => end({ how: "waits" }), PATIENCE_MS);
    /** @param {Fate} how */
    function end(how) {
      clearTimeout(timer);
      queueMicrotask(() => over());
      told(how);
    }
    over = queue.items.subscribe((items) => {
      const item = items.find((one) => one.id === id);
      if (!item) end({ how: "stored" });
      else if (item.state === "refused") end({ how: "refused", item });
      else if (!reached.peek()) end({ how: "waits" });
    });
  });
}
