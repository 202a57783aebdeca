// The files on their way of these pages, in a database of their own: the one of parts/store.js is opened by each page,
// which needs none of this. What is left of an earlier time goes on when the pages are opened (main.js).
import { openDB } from "../vendor/idb.js";
import { ask, session } from "../parts/api.js";
import { changed } from "../parts/live.js";
import { FILES_KEPT } from "../parts/leave.js";
import { FilesOut } from "./files-out.js";

/** @type {Promise<import("../vendor/idb.js").IDBPDatabase<any>> | undefined} */
let opened;

function database() {
  opened ??= openDB("denwright-files", 1, {
    upgrade(db) {
      db.createObjectStore("files", { keyPath: "id" }).createIndex("person", "person");
      db.createObjectStore("bytes");
    },
    terminated() {
      opened = undefined;
    },
  });
  return opened;
}

export const filesOut = new FilesOut({
  database,
  person: () => session.peek().who?.person.id,
  ask,
  alone: async (name, run) => { await navigator.locks.request(name, run); },
  sent: changed,
  now: () => Date.now(),
});

session.subscribe(({ state }) => {
  if (state === "in") filesOut.drain();
  else filesOut.load();
});
let first = true;
filesOut.items.subscribe((items) => {
  // What lies on the phone is not known before it was looked at.
  if (!first) localStorage.setItem(FILES_KEPT, String(items.length));
  first = false;
});
addEventListener("online", () => filesOut.drain());
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") filesOut.drain();
});
