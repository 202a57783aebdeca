// Which page is shown: what stands behind the # of the address, so that one kept file opens all of them.
import { signal } from "./html.js";

/** `part`: what of the page is meant, as a pup of its litter. @typedef {{ page: string, id: string, part: string }} Route */

/** @param {string} hash `#/night/LITTER`, `#/litter/LITTER/PUP` @returns {Route} */
export function routeOf(hash) {
  const [, page = "", id = "", part = ""] = hash.replace(/^#/, "").split("/");
  return { page: page || "home", id: decodeURIComponent(id), part: decodeURIComponent(part) };
}

export const route = signal(routeOf(globalThis.location?.hash ?? ""));
globalThis.addEventListener?.("hashchange", () => {
  route.value = routeOf(location.hash);
  scrollTo(0, 0);
});

/** @param {string} page @param {string} [id] */
export function address(page, id) {
  return page === "home" ? "#/" : `#/${page}${id ? `/${encodeURIComponent(id)}` : ""}`;
}
