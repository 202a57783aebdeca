// The phone's own database: what is to be sent (queue), what the service answered last (answers), and who
// is signed in here (kept). One place opens it.
import { openDB } from "../vendor/idb.js";

/** @type {Promise<import("../vendor/idb.js").IDBPDatabase<any>> | undefined} */
let opened;

export function database() {
  opened ??= openDB("denwright", 1, {
    upgrade(db) {
      db.createObjectStore("queue", { keyPath: "id" }).createIndex("person", "person");
      db.createObjectStore("answers", { keyPath: ["person", "path"] });
      db.createObjectStore("kept");
    },
    terminated() {
      opened = undefined;
    },
  });
  return opened;
}

/** @param {string} key */
export async function kept(key) {
  return (await database()).get("kept", key);
}

/** @param {string} key @param {unknown} value `undefined` takes it away */
export async function keep(key, value) {
  const db = await database();
  await (value === undefined ? db.delete("kept", key) : db.put("kept", value, key));
}
