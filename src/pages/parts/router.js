// Which page is shown: what stands behind the # of the address, so that one kept file opens all of them.
import { signal } from "./html.js";

/**
 * `part`: what of the page is meant, as a pup of its litter; `kennel`: whose page, where the address says so.
 * @typedef {{ page: string, id: string, part: string, kennel?: string }} Route
 */

/** What an address from outside begins with, as that of a ring: who follows it may have looked at another kennel last. */
const IN_KENNEL = /^#\/in\/([^/]*)\/?/;

/** @param {string} hash `#/night/LITTER`, `#/litter/LITTER/PUP`, `#/in/KENNEL/night/LITTER` @returns {Route} */
export function routeOf(hash) {
  const kennel = IN_KENNEL.exec(hash)?.[1];
  const [, page = "", id = "", part = ""] = hash.replace(IN_KENNEL, "#/").replace(/^#/, "").split("/");
  return { page: page || "home", id: decodeURIComponent(id), part: decodeURIComponent(part), ...(kennel ? { kennel } : {}) };
}

/** The same address without the kennel, once that is the one that is looked at. @param {string} hash */
export const within = (hash) => hash.replace(IN_KENNEL, "#/");

export const route = signal(routeOf(globalThis.location?.hash ?? ""));
globalThis.addEventListener?.("hashchange", () => {
  route.value = routeOf(location.hash);
  scrollTo(0, 0);
});

/** @param {string} page @param {string} [id] */
export function address(page, id) {
  return page === "home" ? "#/" : `#/${page}${id ? `/${encodeURIComponent(id)}` : ""}`;
}
