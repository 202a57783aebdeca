// What rings: what a browser refuses is said, a device is entered by a tap, a test and a real alarm go from the service
// through a push service to the worker, which shows them once and opens their place; choices, letter and duty.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { pushService } from "./push-service.mjs";
import { drawn, far, keep, looked, mailFile, opened, phone, show, signIn, stored, until } from "./tools.mjs";

/** A browser whose subscriptions are those of a push service of ours. */
function subscribes({ endpoint, keys }) {
  let now = JSON.parse(localStorage.getItem("test-subscription") ?? "null");
  // Browsers change by themselves where they take rings.
  const shown = (held) => held && {
    endpoint: endpoint + (localStorage.getItem("test-moved") ?? ""), options: { applicationServerKey: Uint8Array.from(atob(held.key.replace(/-/g, "+").replace(/_/g, "/")), (one) => one.charCodeAt(0)).buffer },
    toJSON() { return { endpoint: this.endpoint, expirationTime: null, keys }; },
    unsubscribe: async () => { now = null; localStorage.removeItem("test-subscription"); return true; },
  };
  PushManager.prototype.getSubscription = async () => shown(now);
  PushManager.prototype.subscribe = async ({ userVisibleOnly, applicationServerKey }) => {
    if (!userVisibleOnly) throw new Error("each is to be seen");
    now = { key: applicationServerKey };
    localStorage.setItem("test-subscription", JSON.stringify(now));
    return shown(now);
  };
}

/** What a person answered the browser: what is granted alone is, and all else denied. @param {"notifications" | "geolocation"} alone */
const granted = (page, alone) => page.context().grantPermissions([alone], { origin: far.base });

export async function rings(kennel, token, { pup, litter }) {
  await refusals();
  const service = await pushService();
  const page = await phone();
  await page.addInitScript(subscribes, { endpoint: service.endpoint, keys: service.keys });
  await page.goto(far.base);
  await granted(page, "notifications");
  await signIn(page);
  await show(page, "#/kennel", "#rings");
  await page.locator("section", { hasText: "Nothing rings for you yet." }).first().waitFor();
  await page.getByLabel("Name of this device").fill("Maren’s phone");
  await page.getByRole("button", { name: "Ring on this device" }).click();
  await page.locator(".devices li", { hasText: "Maren’s phone" }).getByText("this device").waitFor();
  const settings = () => far.get(`${kennel}/rings`, token);
  assert.deepEqual((await settings()).devices.map((one) => [one.name, one.host]), [["Maren’s phone", "127.0.0.1"]]);
  assert.deepEqual((await settings()).choices.ways, ["push"], "one tap is enough");

  const worker = await workerOf(page);
  await testRings(page, service, worker);
  await choices(page, settings);
  await alarmRings(page, service, worker, kennel, token, pup, litter);
  await letter(page, settings);
  await duty(page, kennel, token);
  await looked(page, "rings, opened");
  await drawn(page, "rings");
  await moved(page, settings);
  await removed(page, settings);
  assert.deepEqual(page.faults, []);
  await page.context().close();
  service.stop();
}

/** What stands in the way is said in words, with what to do. */
async function refusals() {
  const told = async (options, words, before = () => {}, isDenied = false) => {
    const page = await phone({ serviceWorkers: "block", ...options });
    await page.addInitScript(before);
    await page.goto(far.base);
    if (isDenied) await granted(page, "geolocation");
    await signIn(page);
    await show(page, "#/kennel", "#rings");
    await page.locator(".hindered", { hasText: words }).waitFor();
    assert.equal(await page.locator(".ring-here").count(), 0, "nothing to tap that cannot be");
    await page.context().close();
  };
  const without = () => { delete globalThis.PushManager; };
  await told({ userAgent: "Mozilla/5.0 (iPhone; CPU iPhone OS 18_4 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.4 Mobile/15E148 Safari/604.1" }, "Add to Home Screen", without);
  await told({}, "Use another browser", without);
  await told({}, "Notifications of these pages are blocked", () => {}, true);
  // This one may, and reaches no push service.
  const page = await phone();
  await page.goto(far.base);
  await granted(page, "notifications");
  await signIn(page);
  await show(page, "#/kennel", "#rings");
  await page.getByRole("button", { name: "Ring on this device" }).click();
  await page.locator(".told", { hasText: "did not reach its push service" }).waitFor();
  assert.equal(await page.locator(".devices li").count(), 0);
  assert.deepEqual(page.faults, []);
  await page.context().close();
}

/** The worker of a page: pushes handed to it, what it shows, and a tap on that. */
async function workerOf(page) {
  const session = await page.context().newCDPSession(page);
  const registration = new Promise((told) => session.on("ServiceWorker.workerRegistrationUpdated", ({ registrations }) => {
    if (registrations[0]) told(registrations[0].registrationId);
  }));
  await session.send("ServiceWorker.enable");
  const registrationId = await registration;
  const inWorker = (run, about) => page.context().serviceWorkers()[0].evaluate(run, about);
  const shown = () => page.evaluate(async () => (await (await navigator.serviceWorker.ready).getNotifications())
    .map(({ title, body, lang, tag, requireInteraction, data }) => ({ title, body, lang, tag, requireInteraction, path: data.path })));
  return {
    shown,
    push: (ring) => session.send("ServiceWorker.deliverPushMessage", { origin: far.base, registrationId, data: JSON.stringify(ring) }),
    /** What is shown for a ring. A browser that is asked before the worker has noted it may forget it (service-worker.js). */
    async arrives(ring) {
      await this.push(ring);
      await this.noted(ring.id);
      const all = await shown();
      const found = all.find((one) => one.title === ring.title);
      assert.ok(found, `${ring.title} is not shown: ${JSON.stringify(all)}`);
      return found;
    },
    /** The worker has noted a ring: all that it began with it is done. */
    noted: (id) => until(page, (id) => new Promise((told) => {
      const opening = indexedDB.open("denwright-rings");
      // The worker makes it.
      opening.onupgradeneeded = () => opening.transaction.abort();
      opening.onerror = () => told(false);
      opening.onsuccess = () => {
        const asked = opening.result.transaction("rings").objectStore("rings").getKey(id);
        asked.onsuccess = () => { opening.result.close(); told(asked.result === id); };
      };
    }), id, `the worker notes ${id}`),
    close: () => inWorker(async () => { for (const one of await self.registration.getNotifications()) one.close(); }),
    tap: (tag) => inWorker(async (tag) => {
      const [notification] = await self.registration.getNotifications({ tag });
      self.dispatchEvent(new NotificationEvent("notificationclick", { notification }));
    }, tag),
  };
}

async function testRings(page, service, worker) {
  await page.getByRole("button", { name: "Send a test" }).click();
  await page.locator(".test-told", { hasText: "1 message is under way." }).waitFor();
  const { ring, headers } = await service.message((one) => one.title.startsWith("A test"), "of the test");
  assert.equal(headers["content-encoding"], "aes128gcm");
  const shown = await worker.arrives(ring);
  assert.deepEqual([shown.body, shown.lang], [ring.body, "en"]);
  // The service does not know whether it arrived, and sends it again: it was seen and is gone.
  await worker.close();
  await worker.push(ring);
  await worker.arrives({ ...ring, id: "another", title: "Another" });
  assert.deepEqual((await worker.shown()).map((one) => one.title), ["Another"], "shown once");
  await worker.close();
}

async function choices(page, settings) {
  const form = await opened(page, "Of what it rings, and when");
  await form.getByLabel("From which level on").selectOption("note");
  await form.getByLabel("Newborn pups").check();
  await form.getByLabel("Growth").check();
  await form.getByLabel("Growth").uncheck();
  await form.locator("fieldset", { hasText: "Only about these litters" }).locator("input").first().waitFor();
  await form.getByLabel("Quiet from").fill("00:00");
  await keep(form);
  // Half of a time is said where it is missing, in the service's words.
  await form.locator(".field", { hasText: "Quiet until" }).locator(".warn").or(form.locator(".field", { hasText: "Quiet from" }).locator(".warn")).first().waitFor();
  await form.getByLabel("Quiet until").fill("23:59");
  await form.getByLabel("Minutes after which it rings with me as well").fill("20");
  await form.getByLabel("Rings for what is due today at").fill("07:30");
  await form.getByLabel("Language of what is said").selectOption("de");
  await keep(form);
  await stored(page, form);
  const { choices } = await settings();
  assert.deepEqual(choices, { ways: ["push"], level: "note", kinds: ["newborn"], litter_ids: [], quiet: { begin: "00:00", end: "23:59", emergencies: false },
    unseen_minutes: 20, tasks_at: "07:30", letter_at: null, language: "de" });
}

/** A real one, while it is quiet: an emergency comes through, in the language that was chosen, and opens its place. */
async function alarmRings(page, service, worker, kennel, token, pup, litter) {
  const check = await far.post(`${kennel}/dogs/${pup}/pup-checks`, { checked_at: new Date(far.now() - 60_000).toISOString(), signs: ["limp"] }, token);
  const { ring } = await service.message((one) => one.level === "emergency" && one.title.startsWith("Notfall"), "of the alarm");
  assert.equal(ring.path, `/#/in/${kennel.split("/").pop()}/litter/${litter}`);
  const shown = await worker.arrives(ring);
  assert.deepEqual([shown.body, shown.lang, shown.tag, shown.requireInteraction], [ring.body, "de", ring.tag, true]);
  const { items } = await far.get(`${kennel}/alarms`, token);
  assert.ok(items.some((one) => one.id === ring.tag), "its tag is the alarm's");
  // The pages are open: they go to its place, and its tag is gone from the screen.
  await worker.tap(ring.tag);
  await page.waitForFunction((hash) => location.hash === hash, `#/litter/${litter}`);
  await page.locator(".births").waitFor();
  assert.deepEqual(await worker.shown(), []);
  const { version } = await far.get(`${kennel}/dogs/${pup}/pup-checks/${check.id}`, token);
  await fetch(`${far.base}${kennel}/dogs/${pup}/pup-checks/${check.id}`, { method: "DELETE", headers: { Authorization: `Bearer ${token}`, "If-Match": `"${version}"` } });
  await show(page, "#/kennel", "#rings");
}

async function letter(page, settings) {
  const form = await opened(page, "Daily letter: off");
  await form.getByLabel("Comes by mail at").fill("06:30");
  await keep(form);
  await page.locator("summary", { hasText: "Daily letter at 06:30" }).waitFor();
  const ways = await opened(page, "Of what it rings, and when");
  await ways.getByLabel("By mail").check();
  await keep(ways);
  await stored(page, ways);
  const { choices, sends_mail: sends } = await settings();
  assert.deepEqual([choices.ways, choices.letter_at, choices.level, sends], [["push", "mail"], "06:30", "note", true]);
  await page.getByText("It rings on 1 device and by mail.").waitFor();
  await page.getByRole("button", { name: "Send a test" }).click();
  await page.locator(".test-told", { hasText: "2 messages are under way." }).waitFor();
  for (const end = Date.now() + 10_000; !/^To: .*maren@example\.org/m.test(readFileSync(mailFile, "utf8")); await page.waitForTimeout(50)) assert.ok(Date.now() < end, "no mail");
}

async function duty(page, kennel, token) {
  await page.getByText("Nobody is on duty: it rings for all at once.").waitFor();
  const add = await opened(page, "Put somebody on duty");
  await add.getByLabel("Who").selectOption({ label: "Tobias Lindqvist" });
  const day = (days) => new Date(far.now() + days * 86_400_000).toISOString().slice(0, 10);
  await add.getByLabel("From").fill(`${day(1)}T20:00`);
  await add.getByLabel("Until").fill(`${day(-1)}T07:00`);
  await keep(add);
  await add.locator("[role=alert]").first().waitFor();
  await add.getByLabel("From").fill(`${day(-1)}T20:00`);
  await add.getByLabel("Until").fill(`${day(1)}T07:00`);
  await keep(add);
  await page.getByText(/^On duty now: .+ until/).waitFor();
  await page.getByText("With you it rings when nobody has marked the alarm as seen for 20 minutes.").waitFor();
  assert.equal((await far.get(`${kennel}/duty`, token)).turns.length, 1);
  await page.locator(".turns").getByRole("button", { name: "Take off the roster" }).click();
  await page.getByText("Nobody is on duty: it rings for all at once.").waitFor();
  assert.equal((await far.get(`${kennel}/duty`, token)).turns.length, 0);
}

/** A browser that takes rings elsewhere from now on is entered anew when the pages are opened, in the place of what it was. */
async function moved(page, settings) {
  const [before] = (await settings()).devices;
  await page.evaluate(() => localStorage.setItem("test-moved", "/moved"));
  await page.reload();
  for (const end = Date.now() + 20_000; ; await page.waitForTimeout(50)) {
    const { devices } = await settings();
    if (devices.length === 1 && devices[0].id !== before.id) break;
    assert.ok(Date.now() < end, JSON.stringify(devices));
  }
  await page.locator(".devices li", { hasText: "Maren’s phone · since" }).getByText("this device").waitFor();
  // The page may have read both; it reads again when the old one has gone.
  await page.waitForFunction(() => document.querySelectorAll(".devices li").length === 1);
}

/** A device that is removed takes nothing any more, and one that nobody is signed in at neither. */
async function removed(page, settings) {
  const subscribed = () => page.evaluate(() => localStorage.getItem("test-subscription") !== null);
  await page.getByRole("button", { name: "Remove Maren’s phone" }).click();
  await page.getByRole("button", { name: "Ring on this device" }).waitFor();
  assert.deepEqual([(await settings()).devices, await subscribed()], [[], false]);
  await page.getByRole("button", { name: "Ring on this device" }).click();
  await page.locator(".devices li", { hasText: "this device" }).waitFor();
  assert.deepEqual([(await settings()).devices.length, await subscribed()], [1, true]);
  await page.locator(".foot button", { hasText: "Sign out" }).first().click();
  await page.locator("input[name=email]").waitFor();
  assert.deepEqual([(await settings()).devices, await subscribed()], [[], false]);
}
