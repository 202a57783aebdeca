// A litter at a desk: given to all and undone, a pup's rules, its booklet, and the history of a record.
import assert from "node:assert/strict";
import { far, picture, show } from "./tools.mjs";

export async function litter(page, kennel, token, id) {
  await show(page, `#/litter/${id}`, ".grid");
  await page.locator("img.picture").evaluate((image) => image.decode());
  const row = page.locator(".grid tr", { has: page.locator("button") }).first();
  const pups = await row.locator("td").count();
  const marked = row.locator("td", { hasText: "✓" });
  assert.equal(await marked.count(), 0);
  await row.locator("button").click();
  await page.locator("form.panel input").nth(pups).fill("Dewormer, as the vet said");
  // All but the last.
  await page.locator("form.panel input[type=checkbox]").last().uncheck();
  const given = page.waitForResponse((answer) => answer.url().endsWith("/observations/batch") && answer.ok());
  await page.locator("form.panel button.main").click();
  assert.equal((await (await given).json()).items.filter((one) => one.status === "stored").length, pups - 1);
  await page.locator(".undo button", { hasText: `Given to ${pups - 1}` }).waitFor();
  await page.waitForFunction((count) => [...document.querySelectorAll(".grid tr")].some((line) =>
    line.querySelector("button") && [...line.querySelectorAll("td")].filter((cell) => cell.textContent.includes("✓")).length === count), pups - 1);
  const events = async () => (await far.get(`${kennel}/health-events?limit=500`, token)).items.filter((one) => one.product === "Dewormer, as the vet said").length;
  assert.equal(await events(), pups - 1);
  await page.locator(".undo button").click();
  await page.locator(".outbox .sum", { hasText: "All is sent." }).waitFor();
  await page.waitForFunction(() => ![...document.querySelectorAll(".grid tr")].some((line) =>
    line.querySelector("button") && line.textContent.includes("✓")));
  assert.equal(await events(), 0, "all taken back");

  const pup = page.locator(".pups-ready > li").first();
  await pup.locator("summary").first().click();
  await pup.locator(".checks li").nth(3).waitFor();
  const [paper] = await Promise.all([page.waitForEvent("download"), pup.locator(".paper button").click()]);
  assert.equal(paper.suggestedFilename(), "booklet.pdf");
  await picture(page, "litter-phone", true);

  // The name is changed, and the earlier one brought back from the history.
  const name = await page.locator("h1").textContent();
  await page.locator("summary", { hasText: "Change the litter" }).click();
  await page.locator(".fold input").first().fill("The autumn litter");
  await page.locator(".fold[open] form button.main").first().click();
  await page.locator("h1", { hasText: "The autumn litter" }).waitFor();
  await page.locator("summary", { hasText: "History" }).click();
  await page.locator(".history li li", { hasText: "The autumn litter" }).waitFor();
  await page.locator(".history button").first().click();
  await page.locator("h1", { hasText: name }).waitFor();
}
