// The year: a mating tried, dragged in the picture, moved by a button, and dropped; nothing of it is written.
import assert from "node:assert/strict";
import { far, picture, show } from "./tools.mjs";

export async function year(page, kennel, token) {
  const planned = async () => (await far.get(`${kennel}/matings?limit=500`, token)).items.length;
  const before = await planned();
  await show(page, "#/year", "svg.year");
  await page.locator("#try ~ form select").selectOption({ label: "Fern" });
  await page.locator("#try ~ form button").click();
  const card = page.locator("[data-draft='draft:1']");
  const mated = async () => Date.parse((await card.locator("p").textContent()).match(/mated (\d+ \w+ \d+)/)[1]);
  await card.getByText("mated").waitFor();
  const first = await mated();
  const moved = async (than) => {
    await page.waitForFunction((was) => {
      const told = document.querySelector("[data-draft='draft:1'] p")?.textContent.match(/mated (\d+ \w+ \d+)/)?.[1];
      return told && Date.parse(told) !== was;
    }, than);
    return mated();
  };
  const bar = page.locator("svg .draft");
  await bar.scrollIntoViewIfNeeded();
  const box = await bar.boundingBox();
  // Of a long bar only a part is in view.
  const [x, y] = [Math.max(box.x + 20, 80), box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 60, y, { steps: 4 });
  await picture(page, "year-dragged");
  await page.mouse.up();
  const dragged = await moved(first);
  assert.ok(dragged > first, "dragged to the right is later");
  await card.getByLabel(/by −7 days$/).click();
  const back = await moved(dragged);
  assert.equal(Math.round((dragged - back) / 86_400_000), 7);
  await picture(page, "year-phone", true);
  await card.getByText("Drop it").click();
  await bar.waitFor({ state: "detached" });
  assert.equal(await planned(), before, "nothing is written");
}
