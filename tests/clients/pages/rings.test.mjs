// What rings: choices and turns of duty as plain values, what hinders a browser, and the worker that shows a ring
// (fake-indexeddb beneath it).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { createContext, runInContext } from "node:vm";
import { IDBFactory, IDBKeyRange } from "fake-indexeddb";

globalThis.localStorage = { getItem: () => null, setItem() {} };
const { asTyped, chosen } = await import("../../../src/pages/kennel/ring-choices.js");
const { ahead, onDuty, tonight } = await import("../../../src/pages/kennel/duty-turns.js");
const { deviceName, hinders, hush } = await import("../../../src/pages/parts/push.js");
const { routeOf, within } = await import("../../../src/pages/parts/router.js");
const { recordOf, typedOf } = await import("../../../src/pages/parts/typed.js");

const CHOICES = { ways: ["push"], level: "act", kinds: ["whelping"], litter_ids: ["k"], quiet: { begin: "22:00", end: "06:30", emergencies: false }, unseen_minutes: 15, tasks_at: "07:30", letter_at: "06:30", language: "de" };

test("choices are typed and come back as they were", () => {
  const typed = asTyped(CHOICES);
  assert.deepEqual([typed.push, typed.mail, typed["quiet/begin"], typed.unseen_minutes], [true, false, "22:00", "15"]);
  assert.deepEqual(chosen(CHOICES, { ...typed, unseen_minutes: 15 }), CHOICES);
});

test("what a form does not ask stays as it was chosen", () => {
  assert.deepEqual(chosen(CHOICES, { letter_at: null }), { ...CHOICES, letter_at: null });
  assert.deepEqual(chosen({ ...CHOICES, ways: ["mail"] }, { push: true }), { ...CHOICES, ways: ["push", "mail"] });
  assert.deepEqual(chosen(CHOICES, { push: false, mail: false }).ways, []);
});

test("quiet hours end with both their times, and half of them is not kept back from the service", () => {
  const quiet = (begin, end, emergencies = false) => chosen(CHOICES, { "quiet/begin": begin, "quiet/end": end, "quiet/emergencies": emergencies }).quiet;
  assert.equal(quiet(null, null), null);
  assert.equal(quiet("", "", true), null);
  assert.deepEqual(quiet("21:00", null), { begin: "21:00", emergencies: false });
  assert.deepEqual(quiet("21:00", "05:00", true), { begin: "21:00", end: "05:00", emergencies: true });
});

test("several of a list are a record's list, and none is an empty one", () => {
  const fields = [{ name: "kinds", kind: "many" }];
  assert.deepEqual(recordOf(fields, { kinds: ["dam"] }, true), { kinds: ["dam"] });
  assert.deepEqual(recordOf(fields, {}, true), { kinds: [] });
  assert.deepEqual(typedOf(fields, { kinds: undefined }), { kinds: [] });
});

test("on duty is who has begun and not ended, and what has ended is left out", () => {
  const turn = (person_id, from, to) => ({ person_id, begins_at: `2026-05-17T${from}:00Z`, ends_at: `2026-05-17T${to}:00Z` });
  const turns = [turn("c", "23:00", "23:30"), turn("a", "20:00", "22:00"), turn("b", "21:00", "23:00")];
  const at = (time) => Date.parse(`2026-05-17T${time}:00Z`);
  const who = (found) => found.map((one) => one.person_id);
  assert.deepEqual(who(onDuty(turns, at("19:59"))), []);
  assert.deepEqual(who(onDuty(turns, at("20:00"))), ["a"]);
  assert.deepEqual(who(onDuty(turns, at("21:59"))), ["a", "b"]);
  assert.deepEqual(who(onDuty(turns, at("22:00"))), ["b"]);
  assert.deepEqual(who(ahead(turns, at("21:59"))), ["a", "b", "c"]);
  assert.deepEqual(who(ahead(turns, at("22:00"))), ["b", "c"]);
});

test("tonight is the night that comes, or the rest of the one that goes on", () => {
  assert.deepEqual(tonight("2026-05-31T10:15"), ["2026-05-31T20:00", "2026-06-01T07:00"]);
  assert.deepEqual(tonight("2026-05-31T22:10"), ["2026-05-31T22:10", "2026-06-01T07:00"]);
  assert.deepEqual(tonight("2026-06-01T06:59"), ["2026-06-01T06:59", "2026-06-01T07:00"]);
  assert.deepEqual(tonight("2026-06-01T07:00"), ["2026-06-01T20:00", "2026-06-02T07:00"]);
});

test("what a browser refuses is told by what it is", () => {
  const good = { secure: true, worker: true, push: true, apple: false, standalone: false, permission: "default" };
  assert.equal(hinders(good), undefined);
  assert.equal(hinders({ ...good, permission: "granted" }), undefined);
  assert.equal(hinders({ ...good, permission: "denied" }), "rings.denied");
  assert.equal(hinders({ ...good, push: false }), "rings.no_push");
  assert.equal(hinders({ ...good, worker: false }), "rings.no_push");
  assert.equal(hinders({ ...good, secure: false, push: false, worker: false }), "rings.insecure");
  // An iPhone has no push in a browser, and has it on the home screen; an old one has not there either.
  assert.equal(hinders({ ...good, apple: true, push: false }), "rings.home_screen");
  assert.equal(hinders({ ...good, apple: true, standalone: true }), undefined);
  assert.equal(hinders({ ...good, apple: true, standalone: true, push: false }), "rings.no_push");
});

test("a device is called by what it is", () => {
  for (const [agent, name] of [
    ["Mozilla/5.0 (Linux; Android 15; Pixel 8) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/148.0 Mobile Safari/537.36", "Android, Chrome"],
    ["Mozilla/5.0 (iPhone; CPU iPhone OS 18_4 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.4 Mobile/15E148 Safari/604.1", "iPhone, Safari"],
    ["Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Linux, Firefox"],
    ["something else", ""],
  ]) assert.equal(deviceName(agent), name);
});

test("an address from outside names the kennel, and is then one like any other", () => {
  assert.deepEqual(routeOf("#/in/0192/night/0193"), { page: "night", id: "0193", part: "", kennel: "0192" });
  assert.deepEqual(routeOf("#/in/0192"), { page: "home", id: "", part: "", kennel: "0192" });
  assert.equal(within("#/in/0192/night/0193"), "#/night/0193");
  assert.equal(within("#/in/0192"), "#/");
  assert.equal(within("#/night/0193"), "#/night/0193");
});

const SOURCE = readFileSync(new URL("../../../src/pages/service-worker.js", import.meta.url), "utf8");

/** The worker in a world of its own, and all that it shows and opens. */
function worker({ windows = [], database = new IDBFactory(), clock = Date, notifications = async () => [], show = async () => {} } = {}) {
  const handlers = {};
  const seen = { shown: [], opened: [], posted: [], focused: [] };
  const self = {
    PAGES: { state: "one", files: [] },
    location: { origin: "https://kennel.example" },
    addEventListener: (name, run) => { handlers[name] = run; },
    registration: { getNotifications: notifications, showNotification: async (title, options) => { seen.shown.push({ title, ...options }); await show(); } },
    clients: {
      matchAll: async () => windows.map((one, place) => ({ focused: false, visibilityState: "hidden", ...one,
        postMessage: (told) => seen.posted.push([place, { ...told }]), focus: async () => { seen.focused.push(place); } })),
      openWindow: async (path) => { seen.opened.push(path); },
    },
  };
  runInContext(SOURCE, createContext({ self, indexedDB: database, IDBKeyRange, URL, Date: clock, caches: {}, fetch: undefined, Request, Promise }));
  const run = async (name, event) => {
    let work;
    handlers[name]({ ...event, waitUntil: (promise) => { work = promise; } });
    await work;
  };
  return {
    seen, database,
    push: (ring) => run("push", { data: ring === undefined ? null : { json: () => (typeof ring === "string" ? JSON.parse(ring) : ring) } }),
    over: (kennel, open) => run("message", { data: { over: { kennel, open } } }),
    click: async (path) => {
      let closed = false;
      await run("notificationclick", { notification: { data: { path }, close: () => { closed = true; } } });
      assert.ok(closed, "what was tapped goes");
    },
  };
}

const RING = { id: "r1", title: "Notfall, Larkfell: blau", body: "Tierarzt rufen.\n25 min", path: "/#/in/k/night/l", tag: "alarm", level: "emergency", language: "de" };

test("a ring is shown as it was sent, in its language, and an emergency stays until it is tapped", async () => {
  const one = worker();
  await one.push(RING);
  const [shown] = one.seen.shown;
  assert.deepEqual([shown.title, shown.body, shown.lang, shown.tag, shown.data.path], [RING.title, RING.body, "de", "alarm", RING.path]);
  assert.deepEqual([shown.renotify, shown.requireInteraction], [true, true]);
  await one.push({ ...RING, id: "r2", level: "act" });
  assert.equal(one.seen.shown[1].requireInteraction, false);
});

test("a ring that comes again is shown once, also by a worker that was started anew; a newer one of the alarm is shown", async () => {
  const one = worker();
  await one.push(RING);
  await one.push(RING);
  assert.equal(one.seen.shown.length, 1);
  const again = worker({ database: one.database });
  await again.push(RING);
  assert.equal(again.seen.shown.length, 0);
  await again.push({ ...RING, id: "r2" });
  assert.deepEqual(again.seen.shown.map((shown) => shown.tag), ["alarm"]);
});

test("what was shown more than a week ago is forgotten", async () => {
  const one = worker();
  await one.push(RING);
  const days = (count) => ({ database: one.database, clock: class { static now() { return Date.now() + count * 86_400_000; } } });
  await worker(days(6)).push({ ...RING, id: "r6" });
  const before = worker(days(6));
  await before.push(RING);
  assert.equal(before.seen.shown.length, 0, "a day before it is known");
  await worker(days(8)).push({ ...RING, id: "r8" });
  const after = worker(days(8));
  await after.push(RING);
  assert.equal(after.seen.shown.length, 1);
});

test("a message without words, and one that nothing can be noted of, rings nevertheless", async () => {
  const one = worker();
  await one.push();
  await one.push("{");
  assert.deepEqual(one.seen.shown.map((shown) => [shown.title, shown.tag, shown.data.path]), [["denwright", "denwright", "/"], ["denwright", "denwright", "/"]]);
  // A database of the name without its store, as one that broke off leaves it.
  const broken = new IDBFactory();
  await new Promise((done) => { broken.open("denwright-rings", 1).onsuccess = ({ target }) => { target.result.close(); done(); }; });
  const torn = worker({ database: broken });
  await torn.push(RING);
  assert.equal(torn.seen.shown.length, 1);
  const full = worker({ database: { open: () => { const asked = { error: new Error("full") }; queueMicrotask(() => asked.onerror()); return asked; } } });
  await full.push(RING);
  assert.equal(full.seen.shown.length, 1);
  const test = worker();
  await test.push({ ...RING, tag: null });
  assert.equal(test.seen.shown[0].tag, "r1", "a test is no alarm: its tag is its own");
});

test("a tap opens the place in the pages that are open, the one in front first, and else in new ones", async () => {
  const page = (more) => ({ url: "https://kennel.example/#/", ...more });
  const docs = { url: "https://kennel.example/docs/", focused: true };
  for (const [windows, place] of [[[docs, page()], 1], [[page(), page({ visibilityState: "visible" })], 1], [[page({ visibilityState: "visible" }), page({ focused: true })], 1]]) {
    const one = worker({ windows });
    await one.click(RING.path);
    assert.deepEqual([one.seen.posted, one.seen.focused, one.seen.opened], [[[place, { open: RING.path }]], [place], []]);
  }
  const one = worker({ windows: [docs] });
  await one.click(RING.path);
  assert.deepEqual([one.seen.posted, one.seen.opened], [[], [RING.path]]);
});

test("the worker is told which alarms are open, and not those that are seen", async () => {
  const posted = [];
  Object.defineProperty(globalThis, "navigator", { configurable: true, value: { serviceWorker: { getRegistration: async () => ({ active: { postMessage: (told) => posted.push(told) } }) } } });
  await hush("k", [{ id: "open", seen: null }, { id: "seen", seen: { name: "Maren" } }]);
  assert.deepEqual(posted, [{ over: { kennel: "k", open: ["open"] } }]);
});

test("what rang of an alarm goes from the screen once that is seen or over, and not before it can be known", async () => {
  const closed = [];
  const minute = 60_000;
  const clock = class { static now() { return 1_780_000_000_000; } };
  const shown = (name, { alarm = name, kennel = "k", ago = 2 * minute } = {}) => ({
    data: { path: `/#/in/${kennel}/litter/l`, alarm, at: clock.now() - ago }, close: () => closed.push(name),
  });
  const one = worker({ clock, notifications: async () => [
    shown("open"), shown("seen"), shown("over"), shown("after", { ago: minute + 1 }), shown("on", { ago: minute }), shown("new", { ago: minute - 1 }),
    shown("test", { alarm: null }), shown("elsewhere", { kennel: "other" }), { data: null, close: () => closed.push("unknown") },
  ] });
  await one.over("k", ["open"]);
  assert.deepEqual(closed, ["seen", "over", "after"]);
});

test("what is on the screen is not asked for while something is being shown, nor the other way round", async () => {
  const log = [];
  const held = {};
  const until = (what) => new Promise((done) => { held[what] = () => { log.push(what); done([]); }; });
  const one = worker({ notifications: () => { log.push("lists"); return until("listed"); }, show: () => { log.push("shows"); return until("shown"); } });
  const logged = async (count) => { while (log.length < count) await new Promise((done) => setImmediate(done)); };
  const shows = one.push(RING);
  await logged(1);
  await one.over("k", []);
  assert.deepEqual(log, ["shows"], "it is left for the next time");
  held.shown();
  await shows;
  const lists = one.over("k", []);
  await logged(3);
  const next = one.push({ ...RING, id: "r2" });
  await new Promise((done) => setTimeout(done, 100));
  assert.deepEqual(log, ["shows", "shown", "lists"], "the next waits");
  held.listed();
  await lists;
  await logged(5);
  held.shown();
  await next;
  assert.deepEqual(log.slice(3), ["listed", "shows", "shown"]);
});

test("a list that a browser does not give hinders no ring", async () => {
  const one = worker({ notifications: () => Promise.reject(new Error("no")) });
  await one.over("k", []);
  await one.push(RING);
  assert.equal(one.seen.shown.length, 1);
});
