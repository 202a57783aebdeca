// Signing out: asks first when something is kept here that was not sent. It stays on the phone for when the
// same person signs in again, and no one else sends or sees it.
import { signal } from "./html.js";
import { signOut } from "./api.js";
import { queue } from "./kept.js";

/** What is asked before signing out. @type {import("../vendor/signals.js").Signal<{ everywhere: boolean, count: number, failed: boolean } | undefined>} */
export const asked = signal(undefined);

/** Where it is noted how many files lie here (album/kept-files.js), so that it is known without opening them. */
export const FILES_KEPT = "files-kept";
export const filesKept = () => Number(localStorage.getItem(FILES_KEPT) ?? 0);

/** @param {boolean} everywhere @param {boolean} [sure] */
export async function leave(everywhere, sure = false) {
  const count = queue.items.peek().length + filesKept();
  if (count > 0 && !sure) {
    asked.value = { everywhere, count, failed: false };
    return;
  }
  try {
    // Alarms name dogs and people: a device that nobody is signed in at shows none.
    await (await import("./push.js")).silence();
    await signOut(everywhere);
    asked.value = undefined;
    location.hash = "#/";
  } catch {
    asked.value = { everywhere, count, failed: true };
  }
}
