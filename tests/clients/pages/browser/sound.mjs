// What goes wrong on the way: a page's files that do not come, and a session that ends while one works.
import assert from "node:assert/strict";
import { go, maren, phone, signIn } from "./tools.mjs";

export async function sound(litter) {
  const page = await phone({ serviceWorkers: "block" });
  await page.route("**/pages/litter/births.js", (route) => route.abort());
  await signIn(page);
  await go(page, `#/litter/${litter}`);
  await page.locator("main [data-state=offline]").waitFor();
  await page.unroute("**/pages/litter/births.js");
  // The service is busy at the first try, and says when to ask again: the page does so by itself.
  let tries = 0;
  await page.route("**/births?*", (route) => {
    tries += 1;
    return tries === 1 ? route.fulfill({ status: 503, headers: { "Retry-After": "1" }, json: { detail: "busy" } }) : route.continue();
  });
  await page.locator("main [data-state=offline] button").click();
  await page.locator(".births li").first().waitFor();
  assert.ok(tries > 1);
  await page.unroute("**/births?*");

  // At 360 px and without a network, undo is a target like any other, beside the line that says so.
  await go(page, `#/night/${litter}`);
  await page.locator(".tap-waters").waitFor();
  await page.context().setOffline(true);
  await page.locator(".tap-waters").click();
  await page.locator(".panel .taps button").click();
  await page.locator(".net", { hasText: "Offline" }).waitFor();
  const box = await page.locator(".undo button").boundingBox();
  assert.ok(box.width >= 120 && box.height >= 47.5, `undo has ${box.width} x ${box.height}`);
  await page.locator(".undo button").click();

  // The cookie is gone, as after an answer that the network lost: one signs in again and is where one was.
  await page.context().clearCookies();
  await page.context().setOffline(false);
  await page.reload();
  await page.locator("form p", { hasText: "has ended" }).waitFor();
  assert.equal(await page.locator("input[name=email]").inputValue(), maren.email);
  await signIn(page);
  await page.locator(".taps").first().waitFor();
  await page.locator(".outbox .sum", { hasText: "All is sent." }).waitFor();
  assert.deepEqual(page.faults, []);
  await page.context().close();
}
