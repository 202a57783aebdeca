// Keeps the pages for when there is no network, and rings. The service puts a line before this one that names all files
// (self.PAGES.files) and their state (self.PAGES.state): a browser keeps the files of one state together, so
// that an old part never meets a new one. A next state waits until the person takes it (message "take-over").
// Answers of the API are not kept here: parts/cache.js does that, by person.
const own = `pages-${self.PAGES.state}`;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(own);
    await cache.addAll(self.PAGES.files.map((file) => new Request(file, { cache: "no-cache" })));
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("pages-") && name !== own) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  if (event.data === "take-over") self.skipWaiting();
  if (event.data?.over) event.waitUntil(takeOff(event.data.over));
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  const file = address.pathname;
  if (event.request.method !== "GET" || address.origin !== self.location.origin) return;
  if (!self.PAGES.files.includes(file)) return;
  event.respondWith((async () => {
    const kept = await (await caches.open(own)).match(file);
    return kept ?? fetch(event.request);
  })());
});

// Rings: what the service sends to this device (src/outgoing/rings/push.rs), in the words and the language of its
// reader. The tag is the alarm's, so that what is newer about it takes the place of what was shown before.
self.addEventListener("push", (event) => event.waitUntil(rung(event.data)));

// Chromium forgets a notification, and what a tap on it opens, where it is asked for those on the screen while that one
// is on its way there (27 of 60 in trial; none of 60 once it said that it was shown): it is not asked meanwhile.
let showing = 0;
/** @type {Promise<void> | undefined} what is being taken off the screen just now */
let taking;

/** @typedef {{ id?: string, title?: string, body?: string, path?: string, tag?: string | null, level?: string, language?: string }} Ring */

/** @param {PushMessageData | null} data */
async function rung(data) {
  /** @type {Ring} */
  const ring = await Promise.resolve().then(() => data?.json() ?? {}).catch(() => ({}));
  if (ring.id && (await heard(ring.id))) return;
  while (taking) await taking;
  showing += 1;
  await shown(ring).finally(() => { showing -= 1; });
  // Once it is shown: a ring that is shown twice is better than none.
  if (ring.id) await remember(ring.id);
}

/** @param {Ring} ring @returns {Promise<void>} */
function shown(ring) {
  const isEmergency = ring.level === "emergency";
  return self.registration.showNotification(ring.title ?? "denwright", {
    body: ring.body ?? "",
    lang: ring.language ?? "",
    icon: "/pages/icon.svg",
    tag: ring.tag ?? ring.id ?? "denwright",
    renotify: true,
    requireInteraction: isEmergency,
    ...(isEmergency ? { vibrate: [400, 200, 400, 200, 400] } : {}),
    // A test is of no alarm: nothing ends it but a tap.
    data: { path: ring.path ?? "/", alarm: ring.tag ?? null, at: Date.now() },
  });
}

/** What rang so shortly ago may be newer than the list of alarms that the pages have. */
const JUST_NOW_MS = 60_000;

/**
 * Takes off the screen what rang of a kennel's alarms that are over by now, or seen. Pages say again which are open each
 * time they have heard of alarms, each minute at least: where something is being shown, what is over waits for the next time.
 * @param {{ kennel: string, open: string[] }} over
 */
async function takeOff({ kennel, open }) {
  while (taking) await taking;
  if (showing > 0) return;
  taking = self.registration.getNotifications().then((all) => {
    for (const one of all) {
      const { path = "", alarm, at } = one.data ?? {};
      if (alarm && path.includes(kennel) && !open.includes(alarm) && at < Date.now() - JUST_NOW_MS) one.close();
    }
  }).catch(() => {}).finally(() => { taking = undefined; });
  await taking;
}

/** Longer than push services keep a message and the service tries. */
const REMEMBERED_MS = 7 * 86_400_000;

/** Whether a ring was shown: the service sends one again, under its id, when it does not know whether it arrived. @param {string} id */
function heard(id) {
  return inRings((rings) => rings.getKey(id)).then((key) => key !== undefined, () => false);
}

/** @param {string} id */
function remember(id) {
  return inRings((rings) => {
    const old = rings.index("at").openKeyCursor(IDBKeyRange.upperBound(Date.now() - REMEMBERED_MS));
    old.onsuccess = () => {
      if (!old.result) return;
      rings.delete(old.result.primaryKey);
      old.result.continue();
    };
    return rings.put({ id, at: Date.now() });
  }).catch(() => {});
}

/** A database of the worker's own: that of the pages may be of another state. @param {(rings: IDBObjectStore) => IDBRequest} ask */
function inRings(ask) {
  return new Promise((told, failed) => {
    const opening = indexedDB.open("denwright-rings", 1);
    opening.onupgradeneeded = () => {
      opening.result.createObjectStore("rings", { keyPath: "id" }).createIndex("at", "at");
    };
    opening.onerror = () => failed(opening.error);
    opening.onsuccess = () => {
      try {
        const work = opening.result.transaction("rings", "readwrite");
        const asked = ask(work.objectStore("rings"));
        work.oncomplete = () => told(asked.result);
        work.onabort = () => failed(work.error);
      } catch (error) {
        failed(error);
      }
      // Once what was begun is done.
      opening.result.close();
    };
  });
}

// A tap opens the alarm's place: in the pages that are open, where what is half written stays, or in new ones.
self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  event.waitUntil(opened(event.notification.data?.path ?? "/"));
});

/** @param {string} path */
async function opened(path) {
  const windows = await self.clients.matchAll({ type: "window" });
  const pages = windows.filter((one) => new URL(one.url).pathname === "/");
  const page = pages.find((one) => one.focused) ?? pages.find((one) => one.visibilityState === "visible") ?? pages[0];
  if (!page) return self.clients.openWindow(path);
  page.postMessage({ open: path });
  return page.focus();
}
