// Which page is shown: what stands behind the # of the address, so that one kept file opens all of them.
import { signal } from "./html.js";

/** @typedef {{ page: string, id: string }} Route */

/** @param {string} hash `#/night/LITTER` @returns {Route} */
export function routeOf(hash) {
  const [, page = "", id = ""] = hash.replace(/^#/, "").split("/");
  return { page: page || "home", id: decodeURIComponent(id) };
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
