// Keeps the pages for when there is no network. The service puts a line before this one that names all files
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
