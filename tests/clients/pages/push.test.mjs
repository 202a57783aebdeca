// This browser as a device that rings: entered by a tap, anew where it takes rings elsewhere, for one person at a time,
// and for nobody once they have signed out. Browser and service are small ones here; fake-indexeddb beneath.
import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";

globalThis.localStorage = { getItem: () => null, setItem() {}, removeItem() {} };
globalThis.location = { reload() {} };
globalThis.isSecureContext = true;
globalThis.matchMedia = () => ({ matches: false });
globalThis.document = { addEventListener() {}, documentElement: {} };
globalThis.PushManager = class {};

/** The browser: what it was answered, and where it takes rings. */
const here = {};
const shown = () => here.key && { endpoint: here.endpoint, options: { applicationServerKey: Buffer.from(here.key, "base64url") },
  toJSON: () => ({ endpoint: here.endpoint, keys: { p256dh: "p", auth: "a" } }), unsubscribe: async () => { here.key = undefined; here.ended += 1; } };
const pushManager = { getSubscription: async () => shown(), subscribe: async ({ applicationServerKey }) => {
  if (here.away) throw new DOMException("no push service", "AbortError");
  here.key = applicationServerKey;
  return shown();
} };
const registration = { pushManager, addEventListener() {}, update: async () => {} };
Object.defineProperty(globalThis, "navigator", { configurable: true, value: { userAgent: "", maxTouchPoints: 0, locks: { request: (_, run) => run() },
  serviceWorker: { register: async () => registration, ready: Promise.resolve(registration), getRegistration: async () => registration, addEventListener() {} } } });
globalThis.Notification = class { static get permission() { return here.permission; } static async requestPermission() { here.permission = here.answer; return here.answer; } };

/** The service: devices by kennel and person. */
const far = {};
globalThis.fetch = async (path, { method, headers, body }) => {
  if (path.startsWith("/v1/auth")) return Response.json({ access_token: `x.${btoa(JSON.stringify({ sub: here.person }))}.x`, expires_in: 900 });
  const { sub } = JSON.parse(atob(headers.Authorization.split(".")[1]));
  const [, , , kennel, , , id] = path.split("/");
  if (method === "DELETE") {
    if (!far.devices.delete(id)) return Response.json({ detail: "gone" }, { status: 404 });
    return new Response(null, { status: 204 });
  }
  const { name, endpoint } = JSON.parse(body);
  far.made += 1;
  far.devices.set(`d${far.made}`, { kennel, person: sub, name, endpoint });
  return Response.json({ id: `d${far.made}`, name, host: "push.example", created_at: "" });
};
const { session } = await import("../../../src/pages/parts/api.js");
const { Hindered, noted, renew, ringHere, silence, stop } = await import("../../../src/pages/parts/push.js");
const { database } = await import("../../../src/pages/parts/store.js");

const KEY = Buffer.from("a key of the service").toString("base64url");
const is = (person) => {
  here.person = person;
  session.value = { state: "in", who: { person: { id: person }, kennels: [] } };
};
const devices = () => [...far.devices.values()].map((one) => [one.kennel, one.endpoint]);
beforeEach(async () => {
  Object.assign(here, { key: undefined, endpoint: "https://push.example/1", permission: "default", answer: "granted", away: false, ended: 0 });
  Object.assign(far, { devices: new Map(), made: 0 });
  await (await database()).clear("kept");
  is("maren");
});

test("a tap enters this browser, and another kennel of the same person has it as well", async () => {
  await ringHere("k", KEY, "Phone");
  await ringHere("l", KEY, "Phone");
  assert.deepEqual(devices(), [["k", here.endpoint], ["l", here.endpoint]]);
  assert.deepEqual([(await noted("k")).id, (await noted("l")).id, here.ended], ["d1", "d2", 0]);
});

test("what a person or a browser refuses is told, and nothing is entered", async () => {
  const why = (key) => (error) => error instanceof Hindered && error.message === key;
  here.answer = "denied";
  await assert.rejects(ringHere("k", KEY, "Phone"), why("rings.denied"));
  here.answer = "default";
  await assert.rejects(ringHere("k", KEY, "Phone"), why("rings.unanswered"));
  Object.assign(here, { answer: "granted", away: true });
  await assert.rejects(ringHere("k", KEY, "Phone"), why("rings.refused"));
  assert.deepEqual([devices(), await noted("k")], [[], undefined]);
});

test("a subscription for another service's key is given up for one of this", async () => {
  here.key = Buffer.from("another key").toString("base64url");
  await ringHere("k", KEY, "Phone");
  assert.deepEqual([here.ended, here.key], [1, KEY]);
});

test("one that takes rings elsewhere, or lost its subscription, is entered anew in the place of what it was", async () => {
  await ringHere("k", KEY, "Phone");
  await renew("k");
  assert.equal(far.made, 1, "nothing has changed");
  here.endpoint = "https://push.example/2";
  await renew("k");
  assert.deepEqual([devices(), (await noted("k")).id], [[["k", "https://push.example/2"]], "d2"]);
  Object.assign(here, { key: undefined, endpoint: "https://push.example/3" });
  await renew("k");
  assert.deepEqual(devices(), [["k", "https://push.example/3"]]);
});

test("a browser that may ring no more, or never did, is left alone", async () => {
  await renew("k");
  await ringHere("k", KEY, "Phone");
  Object.assign(here, { permission: "denied", key: undefined });
  await renew("k");
  assert.deepEqual([far.made, here.key], [1, undefined]);
});

test("one that is taken away rings no more, unless for another kennel", async () => {
  await ringHere("k", KEY, "Phone");
  await ringHere("l", KEY, "Phone");
  await stop("k", "d1");
  assert.deepEqual([devices(), here.key], [[["l", here.endpoint]], KEY]);
  // It was taken away elsewhere already: that is no trouble.
  far.devices.clear();
  await stop("l", "d2");
  assert.deepEqual([here.key, await noted("l")], [undefined, undefined]);
  here.key = KEY;
  await stop("k", "d9");
  assert.equal(here.key, KEY, "another device is not this one");
});

test("who signs out is rung here no more, in any kennel, also where the browser makes trouble", async () => {
  await ringHere("k", KEY, "Phone");
  await ringHere("l", KEY, "Phone");
  await silence();
  assert.deepEqual([devices(), here.key, await noted("k"), await noted("l")], [[], undefined, undefined, undefined]);
  await ringHere("k", KEY, "Phone");
  const { getSubscription } = pushManager;
  pushManager.getSubscription = async () => { throw new DOMException("no", "AbortError"); };
  await silence();
  pushManager.getSubscription = getSubscription;
  assert.deepEqual([devices(), await noted("k")], [[], undefined]);
});

test("who comes after somebody whose session ended is not shown what rings for them", async () => {
  await ringHere("k", KEY, "Phone");
  is("tobias");
  here.permission = "granted";
  await renew("k");
  assert.deepEqual([here.key, here.ended], [undefined, 1], "the push service says from now on that the device is gone");
  assert.deepEqual([await noted("k"), (await (await database()).getAllKeys("kept")).length], [undefined, 0]);
});
