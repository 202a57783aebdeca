// The readable document and its guide: soon there, grouped and folded, searchable, readable on a phone, and ours.
import assert from "node:assert/strict";
import { PHONE, far, looked, measured, phone, picture } from "./tools.mjs";

export async function docs() {
  for (const [name, viewport] of [["phone", PHONE], ["desk", { width: 1280, height: 800 }]]) {
    const page = await phone({ viewport, serviceWorkers: "block" });
    await reference(page, name);
    await guide(page, name);
    await page.context().close();
  }
}

const firstPaint = (page) => page.evaluate(() => new Promise((told) => {
  new PerformanceObserver((list) => told(list.getEntriesByName("first-contentful-paint")[0]?.startTime))
    .observe({ type: "paint", buffered: true });
}));

/** What is seen beyond the screen's right edge, where the page is wider than the screen. */
const beyond = (page) => page.evaluate(() => (document.documentElement.scrollWidth <= innerWidth ? []
  : [...document.querySelectorAll("body *")].filter((one) => one.getBoundingClientRect().right > innerWidth)
    .map((one) => `${one.tagName} ${one.className}`).concat(`${document.documentElement.scrollWidth} px`)));

async function reference(page, name) {
  await page.goto(`${far.base}/docs/`);
  measured(`the document's page, first paint on a ${name}, ms`, Math.round(await firstPaint(page)));
  assert.match(await page.title(), /^denwright/);
  const groups = page.locator(".opblock-tag-section");
  await groups.first().waitFor();
  assert.ok(await groups.count() > 20, "grouped");
  assert.deepEqual(await page.locator(".opblock-tag-section .opblock").allTextContents(), [], "folded");
  // No mark of what draws it.
  assert.equal(await page.locator("img:visible, svg.logo:visible, .topbar:visible").count(), 0);
  assert.deepEqual(await beyond(page), [], "no wider than the screen");
  await picture(page, `docs-${name}`);
  await groups.filter({ hasText: "whelping" }).first().locator("h3").click();
  await page.locator(".opblock-tag-section .opblock").first().waitFor();
  await page.locator(".opblock-tag-section .opblock").first().locator(".opblock-summary").click();
  await page.locator(".opblock-body").first().waitFor();
  assert.deepEqual(await beyond(page), [], "an operation is no wider than the screen");
  await page.locator(".operation-filter-input").fill("buyers");
  await page.waitForFunction(() => document.querySelectorAll(".opblock-tag-section").length === 1);
  await picture(page, `docs-found-${name}`);
}

async function guide(page, name) {
  await page.goto(`${far.base}/docs/first-litter`);
  measured(`the guide, first paint on a ${name}, ms`, Math.round(await firstPaint(page)));
  await page.locator("h1", { hasText: "From nothing to a first litter" }).waitFor();
  await looked(page, `the guide on a ${name}`);
  await picture(page, `first-litter-${name}`);
  assert.deepEqual(page.faults, []);
}
