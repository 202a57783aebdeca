// The files on their way of these pages, in a database of their own: the one of parts/store.js is opened by each page,
// which needs none of this. What is left of an earlier time goes on when the pages are opened (main.js).
import { openDB } from "../vendor/idb.js";
import { AROUND, goesOn } from "../parts/kept.js";
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

export const filesOut = new FilesOut({ ...AROUND, database });
goesOn(filesOut);
let first = true;
filesOut.items.subscribe((items) => {
  // What lies on the phone is not known before it was looked at.
  if (!first) localStorage.setItem(FILES_KEPT, String(items.length));
  first = false;
});
