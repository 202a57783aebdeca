// What each part of the browser test uses: phones, sign-in, pictures, axe, and the measures.
import assert from "node:assert/strict";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { chromium } from "playwright-core";
import { service } from "./service.mjs";
import { small as asSmall } from "./small-png.mjs";

const [program, executablePath, folder, clock] = process.argv.slice(2);
const pictures = process.env.PAGES_PICTURES;
if (pictures) mkdirSync(pictures, { recursive: true });
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
export const PHONE = { width: 360, height: 640 };
const DESK = { width: 1280, height: 800 };
export const WALL = { width: 1920, height: 1080 };
const PASSWORD = "larkfell-demo-2026";
export const maren = { email: "maren@example.org", password: PASSWORD };
export const tobias = { email: "tobias@example.org", password: PASSWORD };

/** Where all mail of the service lies. */
export const mailFile = join(folder, "mail");
writeFileSync(mailFile, "");

export const measures = [];
export const measured = (what, value, limit) => {
  measures.push(`${what}: ${value}${limit === undefined ? "" : ` (at most ${limit})`}`);
  if (limit !== undefined) assert.ok(value <= limit, `${what}: ${value} > ${limit}`);
};

export const far = await service(program, folder, clock);
await far.start();
export const browser = await chromium.launch({ executablePath, args: ["--no-sandbox"] });

export async function phone(options = {}) {
  const context = await browser.newContext({ viewport: PHONE, locale: "en-GB", ...options });
  context.setDefaultTimeout(20_000);
  const page = await context.newPage();
  page.faults = [];
  page.refused = [];
  page.lately = [];
  for (const [event, told] of [["request", "asked"], ["requestfinished", "answered"], ["requestfailed", "failed"]]) {
    page.on(event, (one) => {
      page.lately.push(`${new Date().toISOString().slice(14, 23)} ${told} ${one.method()} ${one.url().slice(far.base.length)}`);
      if (page.lately.length > 40) page.lately.shift();
    });
  }
  page.on("response", (answer) => {
    if (answer.status() === 429 || answer.status() >= 500) page.refused.push(`${answer.status()} ${answer.url()}`);
  });
  page.on("pageerror", (error) => page.faults.push(error.message));
  page.on("console", (said) => {
    if (/Content Security Policy/.test(said.text())) page.faults.push(said.text());
  });
  return page;
}

export async function signIn(page, who = maren) {
  if (!page.url().startsWith(far.base)) await page.goto(far.base);
  await page.locator("input[name=email]").fill(who.email);
  await page.locator("input[name=password]").fill(who.password);
  await page.locator("form button.main").click();
  await page.locator("main h2, main .state").first().waitFor();
}

export const go = (page, hash) => page.evaluate((to) => { location.hash = to; }, hash);
/** One of the two pictures in the README, where they are to be made anew: from the top, and of few bytes. */
export async function forReadme(page, name, size) {
  if (!process.env.PAGES_README) return;
  const before = page.viewportSize();
  await page.setViewportSize(size);
  await page.evaluate(() => scrollTo(0, 0));
  writeFileSync(new URL(`../pictures/${name}.png`, import.meta.url), asSmall(await page.screenshot()));
  await page.setViewportSize(before);
}
/** A picture, where pictures are wanted: nobody sees others before they are gone. */
export const picture = async (page, name, fullPage = false) => {
  if (pictures) await page.screenshot({ path: join(pictures, `${name}.png`), fullPage });
};

/** The whole of a page on a phone and at a desk, where pictures are wanted. */
export async function drawn(page, name) {
  if (!pictures) return;
  await picture(page, `${name}-phone`, true);
  await page.setViewportSize(DESK);
  await picture(page, `${name}-desk`, true);
  await page.setViewportSize(PHONE);
}

export const sent = (page) => page.locator(".outbox .sum", { hasText: "All is sent." }).waitFor();

/** Sends a form by its button. */
export const keep = (fold) => fold.locator("form button.main").first().click();

/** Waits until what a form sent is stored; a slow service may have let it say first that it is kept on the phone. */
export async function stored(page, fold) {
  await fold.locator(".told", { hasText: /^Kept/ }).waitFor();
  await sent(page);
}

/** Waits until a page answers that something holds; its own wait (waitForFunction) takes any promise for a yes. */
export async function until(page, holds, about, what, { patience = 20_000, every = 50 } = {}) {
  for (const end = Date.now() + patience; !(await page.evaluate(holds, about)); await new Promise((done) => setTimeout(done, every))) {
    assert.ok(Date.now() < end, `not within ${patience} ms: ${what}`);
  }
}

/** Opens a page and waits for what is seen there. */
export async function show(page, hash, seen) {
  await go(page, hash);
  await page.locator(seen).first().waitFor();
}

/** Opens what is folded under these words, and answers it. */
export async function opened(of, words) {
  const fold = of.locator(`details.fold:has(> summary:text-matches("^\\s*${words}"))`).first();
  await fold.locator("> summary").click();
  // What is folded is drawn when it is opened.
  await fold.locator("> :not(summary)").first().waitFor();
  return fold;
}

/** All faults that axe finds, as one line each. */
export async function looked(page, name, runOnly = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"]) {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  const { violations } = await page.evaluate((rules) => axe.run(document, { runOnly: rules }), runOnly);
  const told = violations.flatMap((fault) => fault.nodes.map((node) => `${fault.id} ${node.target} ${node.failureSummary}`));
  assert.deepEqual(told, [], `axe on ${name}`);
  // Also with the system's text twice as large.
  const wide = await page.evaluate(() => ["", "200%"].map((size) => {
    document.documentElement.style.fontSize = size;
    return document.documentElement.scrollWidth - innerWidth;
  }));
  await page.evaluate(() => { document.documentElement.style.fontSize = ""; });
  assert.ok(Math.max(...wide) <= 0, `${name} is ${wide} px wider than the screen`);
}

/** Targets too small, or text too small, among what is seen. */
export const small = (page) => page.evaluate(() => [...document.querySelectorAll("main button, main .button, .banner button, .banner .button")]
  .map((one) => [one.textContent, one.getBoundingClientRect(), parseFloat(getComputedStyle(one).fontSize)])
  .filter(([, box, size]) => box.width > 0 && (box.width < 47.5 || box.height < 47.5 || size < 18)).map(([text]) => text));

/** Milliseconds from a tap to what it shows, by the page's own clock. */
export async function shownAfter(page, tap, seen) {
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
