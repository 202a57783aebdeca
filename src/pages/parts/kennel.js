// Which kennel is looked at: the one chosen last on this phone, among those of who is signed in.
import { signal } from "./html.js";
import { session } from "./api.js";

const chosen = signal(localStorage.getItem("kennel"));

/** @param {string} kennel */
export function choose(kennel) {
  localStorage.setItem("kennel", kennel);
  chosen.value = kennel;
}

/** @returns {import("./types.d.ts").MyKennel | undefined} */
export function current() {
  const kennels = session.value.who?.kennels ?? [];
  return kennels.find((one) => one.kennel_id === chosen.value) ?? kennels[0];
}

/** Whether somebody of this role writes observations. @param {string} role */
export const writes = (role) => role !== "viewer";
