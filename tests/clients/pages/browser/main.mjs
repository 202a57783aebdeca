// The pages in a real browser. Arguments: the program, the browser, a folder. Waits are for what is seen, with
// a limit; nothing sleeps.
import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { service } from "./service.mjs";

const [program, executablePath, folder] = process.argv.slice(2);
const pictures = process.env.PAGES_PICTURES ?? join(folder, "pictures");
mkdirSync(pictures, { recursive: true });
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const PHONE = { width: 360, height: 640 };
const WALL = { width: 1920, height: 1080 };
const who = { email: "maren@example.org", password: "larkfell-demo-2026" };
const measures = [];
const measured = (what, value, limit) => {
  measures.push(`${what}: ${value}${limit === undefined ? "" : ` (at most ${limit})`}`);
  if (limit !== undefined) assert.ok(value <= limit, `${what}: ${value} > ${limit}`);
};

const far = await service(program, folder);
await far.start();
const browser = await chromium.launch({ executablePath, args: ["--no-sandbox"] });

async function phone(options = {}) {
  const context = await browser.newContext({ viewport: PHONE, locale: "en-GB", ...options });
  context.setDefaultTimeout(20_000);
  const page = await context.newPage();
  page.faults = [];
  page.on("pageerror", (error) => page.faults.push(error.message));
  page.on("console", (said) => {
    if (/Content Security Policy/.test(said.text())) page.faults.push(said.text());
  });
  return page;
}

async function signIn(page) {
  await page.goto(far.base);
  await page.locator("input[name=email]").fill(who.email);
  await page.locator("input[name=password]").fill(who.password);
  await page.locator("form button.main").click();
  await page.locator(".card").first().waitFor();
}

const go = (page, hash) => page.evaluate((to) => { location.hash = to; }, hash);
const picture = (page, name, fullPage = false) => page.screenshot({ path: join(pictures, `${name}.png`), fullPage });

/** All faults that axe finds, as one line each. */
async function looked(page, name) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"] }));
  const told = violations.flatMap((fault) => fault.nodes.map((node) => `${fault.id} ${node.target} ${node.failureSummary}`));
  assert.deepEqual(told, [], `axe on ${name}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, `${name} is ${wide} px wider than the screen`);
}

/** Targets too small, or text too small, among what is seen. */
const small = (page) => page.evaluate(() => [...document.querySelectorAll("main button, main .button, .banner button, .banner .button")]
  .map((one) => [one.textContent, one.getBoundingClientRect(), parseFloat(getComputedStyle(one).fontSize)])
  .filter(([, box, size]) => box.width > 0 && (box.width < 47.5 || box.height < 47.5 || size < 18)).map(([text]) => text));

/** Milliseconds from a tap to what it shows, by the page's own clock. */
async function shownAfter(page, tap, seen) {
  await page.evaluate(({ tap, seen }) => {
    window.shown = new Promise((told) => {
      document.querySelector(tap).addEventListener("click", () => {
        const began = performance.now();
        const look = () => (document.querySelector(seen) ? told(performance.now() - began) : requestAnimationFrame(look));
        look();
      }, { capture: true, once: true });
    });
  }, { tap, seen });
  await page.locator(tap).first().click();
  return Math.round(await page.evaluate(() => window.shown));
}

async function firstPaint() {
  const page = await phone({ serviceWorkers: "block" });
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  await session.send("Network.enable");
  let bytes = 0;
  session.on("Network.loadingFinished", (one) => { bytes += one.encodedDataLength; });
  await page.goto(far.base);
  await page.locator("input[name=email]").waitFor();
  const { paint, use } = await page.evaluate(() => ({
    paint: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0, use: performance.now(),
  }));
  // The figures of a busy machine are told, not held to a limit; the bytes are.
  measured("first paint, processor slowed 4 times, ms", Math.round(paint));
  measured("first use, ms", Math.round(use));
  measured("first page over the wire, bytes", bytes, 150_000);
  await page.context().close();
}

async function night(one, other, litter) {
  for (const page of [one, other]) {
    await go(page, `#/night/${litter}`);
    await page.locator(".taps").waitFor();
  }
  const counts = (page) => page.locator("[data-testid=counts] strong").textContent();
  assert.match(await counts(one), /^0 pups/);
  assert.deepEqual(await small(one), []);
  await one.locator(".taps .wide").click();
  const took = await shownAfter(one, ".taps button.main", ".log li");
  measured("a birth, taps", 2, 2);
  measured("a birth, ms from tap to shown", took, 250);
  const began = Date.now();
  await other.locator(".log li").first().waitFor();
  measured("a birth on the other phone, ms", Date.now() - began, 5_000);
  await one.locator(".panel button.main", { hasText: "Done" }).click();
  await other.locator("[data-testid=counts]", { hasText: "1 pup out" }).waitFor();
  await other.locator(".tap-contractions").click();
  await other.locator(".panel .taps button").first().click();
  await one.locator(".log", { hasText: "strong" }).waitFor();
  await picture(one, "night-phone");
  // Undone with two taps at most, on both.
  await other.locator(".undo button").click();
  await one.locator(".log li", { hasText: "strong" }).waitFor({ state: "detached" });
}

async function round(page, litter, pups) {
  await go(page, `#/weigh/${litter}`);
  await page.locator(".pad").waitFor();
  const bottom = await page.locator(".confirm").evaluate((key) => key.getBoundingClientRect().bottom);
  measured("weighing without scrolling on 360 x 640, lower edge of the last key", Math.round(bottom), 640);
  assert.deepEqual(await small(page), []);
  await picture(page, "weigh-phone");
  for (let count = 0; count < pups; count += 1) {
    const beside = await page.locator(".beside").textContent();
    const [low, high] = beside.match(/Expected ([\d,]+) to ([\d,]+)/)?.slice(1).map((text) => Number(text.replace(",", ""))) ?? [700, 700];
    const turn = await page.locator("[data-testid=turn]").textContent();
    // The network is cut, comes back, and the service is killed and started, while the round goes on.
    if (count === 2) await page.context().setOffline(true);
    if (count === 3) await page.context().setOffline(false);
    if (count === 4) await far.stop("SIGKILL");
    if (count === 5) {
      await page.keyboard.type("9999");
      await page.keyboard.press("Enter");
      await page.locator("[data-testid=question]").waitFor();
      await picture(page, "weigh-question");
      await page.locator("[data-testid=question] button.main").click();
      await page.locator(".pad").waitFor();
      await far.start();
    }
    for (const digit of String(Math.round((low + high) / 2))) await page.locator(".pad button", { hasText: new RegExp(`^${digit}$`) }).click();
    await page.locator(".confirm").click();
    await page.waitForFunction((was) => document.querySelector("[data-testid=turn]")?.textContent !== was, turn);
  }
  await page.locator("[data-testid=round-end]").waitFor();
  await page.locator(".outbox .sum", { hasText: "All is sent." }).waitFor({ timeout: 90_000 });
  await picture(page, "round-end", true);
}

async function offline(page) {
  await go(page, "#/wall");
  await page.locator(".tasks").waitFor();
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
  await page.waitForFunction(() => navigator.serviceWorker.controller);
  await page.context().setOffline(true);
  await page.reload();
  await page.locator("[data-testid=age]").first().waitFor();
  await page.locator(".tasks li").first().waitFor();
  assert.match(await page.locator("[data-testid=age]").first().textContent(), /as of \d\d:\d\d/);
  await page.context().setOffline(false);
}

async function everyPage(litters) {
  for (const [name, options] of [
    ["phone-light-en", { viewport: PHONE, colorScheme: "light" }],
    ["phone-dark-de", { viewport: PHONE, colorScheme: "dark", locale: "de-DE" }],
    ["wall-dark-en", { viewport: WALL, colorScheme: "dark" }],
    ["wall-light-de", { viewport: WALL, colorScheme: "light", locale: "de-DE" }],
  ]) {
    const page = await phone(options);
    await page.goto(far.base);
    await page.locator("input[name=email]").waitFor();
    await looked(page, `sign-in ${name}`);
    await picture(page, `sign-in-${name}`);
    await signIn(page);
    for (const [what, hash, seen] of [
      ["home", "#/", ".cards"], ["night", `#/night/${litters.coming}`, ".taps"], ["weigh", `#/weigh/${litters.young}`, ".pad, .round-end"],
      ["wall", "#/wall", ".tasks"], ["vet", "#/vet", "input[type=tel]"], ["gone", "#/nothing", "[data-state=gone]"],
    ]) {
      await go(page, hash);
      await page.locator(seen).first().waitFor();
      await page.locator(".banner .alarm, .banner .quiet").first().waitFor();
      await looked(page, `${what} ${name}`);
      await picture(page, `${what}-${name}`, true);
    }
    assert.deepEqual(page.faults, [], name);
    await page.context().close();
  }
}

let failed = false;
try {
  const { access_token: token } = await far.post("/v1/auth/login", who);
  const kennel = `/v1/kennels/${(await far.get("/v1/me", token)).kennels[0].kennel_id}`;
  const today = await far.get(`${kennel}/today`, token);
  const coming = today.litters.find((litter) => litter.expected).litter_id;
  const young = today.litters.filter((litter) => litter.pups.length > 0).sort((a, b) => a.age_days - b.age_days)[0];
  await firstPaint();
  const [one, other] = [await phone(), await phone()];
  await signIn(one);
  await signIn(other);
  await everyPage({ coming, young: young.litter_id });
  await night(one, other, coming);
  const before = (await far.get(`${kennel}/dogs/${young.pups[0].dog_id}/weights`, token)).items.length;
  await round(one, young.litter_id, young.pups.length);
  const after = await far.get(`${kennel}/dogs/${young.pups[0].dog_id}/weights`, token);
  assert.equal(after.items.length, before + 1, "each weight is there once");
  measured("a round, numbers and confirmations for so many pups", young.pups.length);
  await offline(one);
  assert.deepEqual([...one.faults, ...other.faults], []);
} catch (error) {
  failed = true;
  console.error(error);
  for (const [place, page] of browser.contexts().flatMap((context) => context.pages()).entries()) {
    await picture(page, `failed-${place}`).catch(() => {});
  }
  console.error(`the service said:\n${far.said()}`);
} finally {
  console.log(measures.join("\n"));
  await browser.close();
  await far.stop("SIGTERM");
}
process.exit(failed ? 1 : 0);
