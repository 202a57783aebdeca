// Pictures and papers: taken and chosen, sent in pieces over a line that breaks and a page that is left, looked at by
// age, chosen for the new owner, refused in the service's words, and removed.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { drawn, far, go, keep, looked, measured, opened, phone, show, signIn, stored } from "./tools.mjs";

const PIECE = 512 * 1024;
const PDF = Buffer.from("%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n"
  + "3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 200 200]>>endobj\nxref\n0 4\n0000000000 65535 f \n0000000009 00000 n \n0000000054 00000 n \n0000000105 00000 n \n"
  + "trailer<</Size 4/Root 1 0 R>>\nstartxref\n167\n%%EOF\n");
const GIF = Buffer.from("R0lGODlhAQABAIAAAP///wAAACH5BAEAAAAALAAAAAABAAEAAAICRAEAOw==", "base64");

/** A photograph that does not pack small: grain on a colour. @returns {Promise<Buffer>} */
async function photograph(page, width, height, colour) {
  const data = await page.evaluate(async ({ width, height, colour }) => {
    const canvas = Object.assign(document.createElement("canvas"), { width, height });
    const context = canvas.getContext("2d");
    const image = context.createImageData(width, height);
    let seed = colour;
    for (let place = 0; place < image.data.length; place += 4) {
      seed = (seed * 1103515245 + 12345) & 0x7fffffff;
      image.data.set([colour + (seed >> 16) % 60, 120 + (seed >> 20) % 60, 60, 255], place);
    }
    context.putImageData(image, 0, 0);
    return canvas.toDataURL("image/jpeg", 0.95);
  }, { width, height, colour });
  return Buffer.from(data.split(",")[1], "base64");
}

const file = (name, mimeType, buffer) => ({ name, mimeType, buffer });

/** Begins to add up how much moves that nobody asked to move. */
const watched = (page) => page.evaluate(() => {
  window.moved = 0;
  new PerformanceObserver((list) => { for (const one of list.getEntries()) if (!one.hadRecentInput) window.moved += one.value; }).observe({ type: "layout-shift" });
});
/** What it came to; what was seen last is handed over after a frame. */
const moved = (page) => page.evaluate(() => new Promise((told) => { requestAnimationFrame(() => requestAnimationFrame(() => told(window.moved))); }));

export async function pictures(kennel, token, { litter, dam }) {
  const births = (await far.get(`${kennel}/litters/${litter}/births`, token)).items.filter((one) => one.outcome === "alive");
  const pup = births[0].dog_id;
  const rows = async (of) => (await far.get(`${kennel}/attachments?${of}`, token)).items;
  const own = await phone();
  await signIn(own);
  await show(own, `#/litter/${litter}`, ".births");
  const album = await opened(own, "Pictures and papers");
  await album.getByText("No picture yet: take the first one.").waitFor();
  const photo = await photograph(own, 1600, 1200, 90);
  assert.ok(photo.length > 2 * PIECE, `${photo.length} bytes are several pieces`);

  await broken(own, album, photo, () => rows(`litter_id=${litter}`));
  await left(own, photo, litter, pup, () => rows(`dog_id=${pup}`));
  const again = await opened(own, "Pictures and papers");
  await looked(own, "pictures");
  await shown(own, again, kennel, token, pup);
  await papers(own, again, litter, () => rows(`litter_id=${litter}`));
  await waits(own, again, await photograph(own, 320, 240, 30), () => rows(`litter_id=${litter}`));
  await drawn(own, "pictures");
  await gone(own, again, () => rows(`litter_id=${litter}`));
  await ofDam(own, dam, await photograph(own, 320, 240, 150), () => rows(`dog_id=${dam}`));
  assert.deepEqual(own.faults, []);
  await own.context().close();
}

/** By the camera, over a line that breaks at the second piece: it goes on where it broke, by itself. */
async function broken(page, album, photo, rows) {
  const offsets = [];
  let toBreak = true;
  await page.route("**/uploads/*", (route) => {
    const request = route.request();
    if (request.method() !== "PATCH") return route.continue();
    const offset = Number(request.headers()["upload-offset"]);
    if (toBreak && offset > 0) {
      toBreak = false;
      return route.abort();
    }
    offsets.push(offset);
    return route.continue();
  });
  // From the head of the page, so little of it that the album is far below, however long the page is.
  const size = page.viewportSize();
  await page.setViewportSize({ ...size, height: 120 });
  await page.evaluate(() => scrollTo(0, 0));
  await album.locator("input[capture]").setInputFiles(file("first.jpg", "image/jpeg", photo));
  await album.locator("progress").waitFor();
  await album.getByText(/^first\.jpg: 0[.]5 of/).waitFor();
  await page.getByRole("heading", { name: /^Week \d+$/ }).waitFor();
  assert.equal(toBreak, false, "it broke");
  assert.deepEqual(offsets, Array.from({ length: Math.ceil(photo.length / PIECE) }, (_, place) => place * PIECE), "each piece once, in order");
  await page.unroute("**/uploads/*");
  const [row, ...others] = await rows();
  assert.equal(others.length, 0);
  assert.ok(row.taken_on && row.width_px === 1600 && row.kind === "photo", JSON.stringify(row));
  const image = album.locator(".square img");
  assert.equal(await image.count(), 0, "what is further down is not fetched");
  await page.setViewportSize(size);
  await album.locator(".thumb").scrollIntoViewIfNeeded();
  await image.waitFor();
  assert.equal(await image.evaluate((one) => one.decode().then(() => Math.max(one.naturalWidth, one.naturalHeight))), 320, "a small one in the list");
}

/** Of a pup, while the page is left half way: the pages send the rest when they are opened again, wherever. */
async function left(page, photo, litter, pup, rows) {
  await page.locator(".pictures .choice select").selectOption(pup);
  let pieces = 0;
  await page.route("**/uploads/*", (route) => {
    if (route.request().method() !== "PATCH") return route.continue();
    pieces += 1;
    return pieces > 1 ? route.abort() : route.continue();
  });
  await page.locator(".pictures input[multiple]").setInputFiles(file("second.jpg", "image/jpeg", photo));
  await page.getByText(/^second\.jpg: 0[.]5 of/).waitFor();
  await page.unroute("**/uploads/*");
  await page.goto(`${far.base}/#/wall`);
  await page.reload();
  await page.locator(".tasks").first().waitFor();
  for (const end = Date.now() + 20_000; (await rows()).length === 0; await page.waitForTimeout(50)) assert.ok(Date.now() < end, "the rest was not sent");
  const [row] = await rows();
  assert.equal(row.taken_on, null, "the file says no day");
  assert.equal((await rows()).length, 1);
  await show(page, `#/litter/${litter}`, ".births");
}

/** Said to be of the day of birth, chosen for the new owner, and seen in the booklet. */
async function shown(page, album, kennel, token, pup) {
  await album.getByRole("heading", { name: "Without a day" }).waitFor();
  const small = album.locator("h3", { hasText: "Without a day" }).locator("+ ul .thumb");
  await watched(page);
  await small.scrollIntoViewIfNeeded();
  await small.locator("img").waitFor();
  await small.click();
  const whole = album.locator("li.whole");
  await whole.locator("img.large").evaluate((one) => new Promise((done) => { if (one.complete && one.naturalWidth) done(); else one.onload = done; }));
  assert.equal(await whole.locator("img.large").evaluate((one) => one.naturalWidth), 1280, "one for a screen, where it is looked at");
  measured("layout shift as pictures come", Math.round((await moved(page)) * 1000) / 1000, 0.01);
  const born = (await far.get(`${kennel}/dogs/${pup}`, token)).born_on;
  const change = await opened(whole, "Change what is said of it");
  await change.getByLabel("What it shows").fill("Her first hour");
  await change.getByLabel("Taken on").fill(born);
  await change.getByLabel("The new owner sees it in the booklet").check();
  await looked(page, "a picture, opened");
  await keep(change);
  const first = album.locator("h3", { hasText: "On the day of birth" }).locator("+ ul .thumb");
  await first.waitFor();
  await first.getByText(/0 days old · Her first hour/).waitFor();
  await first.getByText("✓ in the booklet").waitFor();
  const link = await far.post(`${kennel}/dogs/${pup}/booklet-links`, { label: "a test" }, token);
  const owner = await phone({ serviceWorkers: "block" });
  await owner.goto(`${far.base}/#/booklet/${link.path.split("/").pop()}`);
  await owner.locator(".album figcaption", { hasText: "Her first hour" }).waitFor();
  assert.equal(await owner.locator(".album li").count(), 1, "what was not chosen is not shown");
  await owner.context().close();
}

/** A paper stands in a plain list; what is neither is refused in the service's words. */
async function papers(page, album, litter, rows) {
  const choose = album.locator(".pictures input[multiple]");
  await page.locator(".pictures .choice select").selectOption(litter);
  await choose.setInputFiles([file("scan.gif", "image/gif", GIF), file("test.pdf", "application/pdf", PDF)]);
  const refused = album.locator(".on-the-way [data-state=refused]");
  await refused.getByText("scan.gif was not taken:").waitFor();
  assert.match(await refused.locator(".warn").innerText(), /JPEG, PNG, WebP|PDF/);
  await looked(page, "a file refused");
  await refused.getByRole("button", { name: "Drop it" }).click();
  await refused.waitFor({ state: "detached" });
  const paper = album.locator(".papers li");
  const [saved] = await Promise.all([page.waitForEvent("download"), paper.getByRole("button", { name: "Save the file" }).click()]);
  assert.deepEqual(readFileSync(await saved.path()), PDF, "as it came");
  const change = await opened(paper, "Change what is said of it");
  await change.getByLabel("What it is", { exact: true }).selectOption("test_result");
  await change.getByLabel("What it is called").fill("Eyes, looked at in May");
  await keep(change);
  await stored(page, change);
  await paper.getByText("Eyes, looked at in May").waitFor();
  assert.deepEqual((await rows()).filter((one) => one.media_type === "application/pdf").map((one) => one.kind), ["test_result"]);
}

/** Without a network it is kept, which is said, and sent once there is one. */
async function waits(page, album, photo, rows) {
  const before = (await rows()).length;
  await page.context().setOffline(true);
  await album.locator("input[capture]").setInputFiles(file("later.jpg", "image/jpeg", photo));
  await album.getByText("1 file is kept on this device; it is sent once there is a network.").waitFor();
  assert.equal((await rows()).length, before);
  await page.context().setOffline(false);
  await album.locator(".on-the-way li").waitFor({ state: "detached" });
  assert.equal((await rows()).length, before + 1);
}

async function gone(page, album, rows) {
  const before = (await rows()).length;
  await album.locator("h3", { hasText: /^Week/ }).locator("+ ul .thumb").first().click();
  const remove = await opened(album.locator("li.whole"), "Remove …");
  await remove.getByRole("button", { name: "Yes, remove it" }).click();
  await album.locator("li.whole").waitFor({ state: "detached" });
  assert.equal((await rows()).length, before - 1);
}

/** A dog's own page has its album as well. */
async function ofDam(page, dam, photo, rows) {
  await go(page, `#/dam/${dam}`);
  await page.locator(".heat").first().waitFor();
  const album = await opened(page, "Pictures and papers");
  await album.locator("input[capture]").setInputFiles(file("dam.jpg", "image/jpeg", photo));
  await album.locator(".thumb").scrollIntoViewIfNeeded();
  await album.locator(".square img").waitFor();
  await looked(page, "pictures of a dam");
  assert.equal((await rows()).length, 1);
}
