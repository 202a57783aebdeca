// This device as one that rings, by web push (RFC 8030, 8291, 8292): what hinders it, entering it, and taking it
// away. One browser has one subscription, which each kennel of its person knows by a device of its own; it is noted
// here which, so that it can be entered anew when the browser changes its address.
import { Trouble, json, session } from "./api.js";
import { changed } from "./live.js";
import { database, keep, kept } from "./store.js";
import { register } from "./update.js";

/** @typedef {import("./types.d.ts").Schema["RingDevice"]} RingDevice */
/** @typedef {{ id: string, name: string, endpoint: string, key: string }} Noted the device that this browser is */

/** What hinders, as the key of the text that says it and what to do. */
export class Hindered extends Error {}

/**
 * What this browser is, as far as it matters here.
 * @typedef {{ secure: boolean, worker: boolean, push: boolean, apple: boolean, standalone: boolean, permission: string }} Browser
 */

/** @returns {Browser} */
export function browser() {
  const { userAgent, maxTouchPoints } = navigator;
  return {
    secure: isSecureContext,
    worker: "serviceWorker" in navigator,
    push: "PushManager" in globalThis && "Notification" in globalThis,
    // An iPad says that it is a Mac, which has no fingers.
    apple: /iPhone|iPad|iPod/.test(userAgent) || (/Macintosh/.test(userAgent) && maxTouchPoints > 1),
    standalone: matchMedia("(display-mode: standalone), (display-mode: fullscreen)").matches,
    permission: "Notification" in globalThis ? Notification.permission : "default",
  };
}

/** @param {Browser} here @returns {string | undefined} nothing where it can ring */
export function hinders({ secure, worker, push, apple, standalone, permission }) {
  if (!secure) return "rings.insecure";
  if (apple && !standalone && !push) return "rings.home_screen";
  if (!worker || !push) return "rings.no_push";
  return permission === "denied" ? "rings.denied" : undefined;
}

/** What a device is called, unless somebody says otherwise. @param {string} agent */
export function deviceName(agent) {
  const device = [[/iPhone/, "iPhone"], [/iPad/, "iPad"], [/Android/, "Android"], [/Macintosh/, "Mac"], [/Windows/, "Windows"], [/Linux/, "Linux"]]
    .find(([pattern]) => /** @type {RegExp} */ (pattern).test(agent))?.[1];
  const program = [[/Edg/, "Edge"], [/Firefox|FxiOS/, "Firefox"], [/Chrom|CriOS/, "Chrome"], [/Safari/, "Safari"]]
    .find(([pattern]) => /** @type {RegExp} */ (pattern).test(agent))?.[1];
  return [device, program].filter(Boolean).join(", ");
}

/** @param {string} kennel */
const place = (kennel) => `ring/${session.peek().who?.person.id}/${kennel}`;

/** The device that this browser is in a kennel. @param {string} kennel @returns {Promise<Noted | undefined>} */
export const noted = (kennel) => kept(place(kennel));

/** Has this browser ring for a kennel; called from a tap, since it may ask. @param {string} kennel @param {string} key of the service @param {string} name */
export async function ringHere(kennel, key, name) {
  const permission = await Notification.requestPermission();
  if (permission !== "granted") throw new Hindered(permission === "denied" ? "rings.denied" : "rings.unanswered");
  await enter(kennel, await subscribed(key), { name, key });
}

/** @param {string} kennel @param {PushSubscription} subscription @param {{ name: string, key: string }} device */
async function enter(kennel, subscription, { name, key }) {
  const { endpoint, keys } = subscription.toJSON();
  /** @type {RingDevice} */
  const { id } = await json(`/v1/kennels/${kennel}/rings/devices`, { method: "POST", body: { name, endpoint, keys } });
  await keep(place(kennel), { id, name, endpoint, key });
}

/** @param {string} key @returns {Promise<PushSubscription>} */
async function subscribed(key) {
  await register();
  const { pushManager } = await navigator.serviceWorker.ready;
  const had = await pushManager.getSubscription();
  // One for another key takes nothing from this service.
  if (had && !isFor(had, key)) await had.unsubscribe();
  else if (had) return had;
  try {
    return await pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: key });
  } catch {
    throw new Hindered("rings.refused");
  }
}

/** @param {PushSubscription} subscription @param {string} key */
function isFor(subscription, key) {
  const own = new Uint8Array(subscription.options.applicationServerKey ?? new ArrayBuffer(0));
  return btoa(String.fromCharCode(...own)).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "") === key;
}

/** @param {string} kennel @param {string} device */
async function remove(kennel, device) {
  await json(`/v1/kennels/${kennel}/rings/devices/${device}`, { method: "DELETE" }).catch((error) => {
    if (!(error instanceof Trouble) || error.status !== 404) throw error;
  });
}

/** Takes a device away; where it is this one, its browser takes nothing any more unless for another kennel. @param {string} kennel @param {string} device */
export async function stop(kennel, device) {
  await remove(kennel, device);
  if ((await noted(kennel))?.id !== device) return;
  await keep(place(kennel), undefined);
  if ((await all()).length === 0) await unsubscribe();
}

/** @returns {Promise<string[]>} where it is noted what this browser is, for whom and for which kennel */
async function all() {
  return (await (await database()).getAllKeys("kept")).map(String).filter((key) => key.startsWith("ring/"));
}

/** Ends the subscription. The service has let the device go before: a browser that fails here hinders nobody from going on. */
async function unsubscribe() {
  try {
    const registration = await navigator.serviceWorker?.getRegistration();
    await (await registration?.pushManager?.getSubscription())?.unsubscribe();
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
  }
}

/** This device rings for nobody any more, as when somebody signs out of it. */
export async function silence() {
  const own = place("");
  for (const key of await all()) {
    const device = /** @type {Noted} */ (await kept(key));
    // What is another's ends with the subscription: its push service says that the device is gone.
    if (key.startsWith(own)) await stop(key.slice(own.length), device.id);
    else await keep(key, undefined);
  }
  await unsubscribe();
}

/** Has the worker take off the screen what rang of alarms that are over by now, or seen. @param {string} kennel @param {import("./types.d.ts").Alarm[]} alarms */
export async function hush(kennel, alarms) {
  const registration = await navigator.serviceWorker?.getRegistration();
  const open = alarms.filter((one) => !one.seen).map((one) => one.id);
  registration?.active?.postMessage({ over: { kennel, open } });
}

/** Enters this device anew where its browser has changed or lost its address, or somebody else rang here before. @param {string} kennel */
export async function renew(kennel) {
  const others = (await all()).filter((key) => !key.startsWith(place("")));
  if (others.length > 0) await unsubscribe();
  for (const key of others) await keep(key, undefined);
  const device = await noted(kennel);
  if (!device || hinders(browser()) || Notification.permission !== "granted") return;
  const subscription = await subscribed(device.key);
  if (subscription.endpoint === device.endpoint) return;
  await enter(kennel, subscription, device);
  await remove(kennel, device.id);
  changed();
}
