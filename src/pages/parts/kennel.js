// Which kennel is looked at: the one chosen last on this phone, among those of who is signed in.
import { signal } from "./html.js";
import { session } from "./api.js";
import { route, within } from "./router.js";

const chosen = signal(localStorage.getItem("kennel"));

/** @param {string} kennel */
export function choose(kennel) {
  localStorage.setItem("kennel", kennel);
  chosen.value = kennel;
}

// An address that names a kennel chooses it, and is from then on like any other.
route.subscribe(({ kennel }) => {
  if (!kennel) return;
  choose(kennel);
  history.replaceState(null, "", within(location.hash));
});

/** @returns {import("./types.d.ts").MyKennel | undefined} */
export function current() {
  const kennels = session.value.who?.kennels ?? [];
  return kennels.find((one) => one.kennel_id === chosen.value) ?? kennels[0];
}

/** Whether somebody of this role writes observations. @param {string} role */
export const writes = (role) => role !== "viewer";
