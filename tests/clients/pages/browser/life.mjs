// The life of a litter by the pages alone: a dam entered, her heat, a mating, a check, a litter expected and born;
// and, of pups that are old enough, one made ready, paid for and handed over.
import assert from "node:assert/strict";
import { far, opened, picture, show } from "./tools.mjs";

const daysAgo = (days) => new Date(Date.now() - days * 86_400_000).toISOString().slice(0, 10);
const keep = (fold) => fold.locator("form button.main").first().click();

export async function life(page, kennel, token, grown) {
  await show(page, "#/kennel", "#dogs");
  const add = await opened(page, "Add a dog");
  await add.getByLabel("Called").fill("Sorrel");
  await add.getByLabel("Sex").selectOption("female");
  await add.getByLabel("Born").fill("2023-04");
  await keep(add);
  await add.locator(".told", { hasText: "Kept." }).waitFor();

  await show(page, "#/", ".cards");
  await page.getByRole("link", { name: "Sorrel" }).click();
  const heat = await opened(page, "A heat has begun");
  await heat.getByLabel("First day").fill(daysAgo(74));
  await keep(heat);
  const reading = await opened(page, "Add a reading");
  await reading.getByRole("button", { name: "Sign" }).click();
  await reading.getByLabel("When").fill(`${daysAgo(63)}T18:00`);
  await reading.getByLabel("What was seen").selectOption("standing");
  await keep(reading);
  await page.locator(".heat li", { hasText: "Sign: stands" }).waitFor();
  const mating = await opened(page, "A mating has happened");
  await mating.getByLabel("Sire").selectOption({ index: 1 });
  await mating.getByLabel("How").selectOption("natural");
  await mating.getByLabel("When").fill(`${daysAgo(62)}T10:00`);
  await keep(mating);
  const check = await opened(page, "Pregnancy check");
  await check.getByLabel("When").fill(`${daysAgo(34)}T10:00`);
  await check.getByLabel("How").selectOption("ultrasound");
  await check.getByLabel("Result").selectOption("pregnant");
  await check.getByLabel("Pups seen for certain").fill("4");
  await keep(check);
  await page.locator("section .card", { hasText: "ultrasound · pregnant · at least 4 pups" }).waitFor();
  const expect = await opened(page, "Expect a litter");
  await expect.getByLabel("Name of the litter").fill("S litter");
  await keep(expect);
  await page.locator(".bars li").first().waitFor();
  await picture(page, "life-due", true);

  await page.locator("section .button", { hasText: "Whelping" }).first().click();
  await page.locator(".taps .wide").click();
  await page.locator(".panel .main").first().click();
  await page.locator(".panel button.main", { hasText: "Done" }).click();
  await show(page, "#/", ".cards");
  await page.locator(".card", { hasText: "S litter" }).getByRole("link", { name: "Litter" }).click();
  await page.locator(".births li", { hasText: "female" }).waitFor();
  await handedOver(page, kennel, token, grown);
}

async function handedOver(page, kennel, token, grown) {
  const births = (await far.get(`${kennel}/litters/${grown}/births?limit=100`, token)).items;
  const reserved = async () => (await far.get(`${kennel}/placements?limit=500`, token)).items.filter((one) => one.stage === "reserved" && one.buyer_id);
  const placement = (await reserved()).find((one) => births.some((birth) => birth.dog_id === one.dog_id));
  const name = births.find((birth) => birth.dog_id === placement.dog_id).name.split(" ")[0];
  await show(page, `#/litter/${grown}`, ".pups-ready");
  const pup = page.locator(".pups-ready > li", { hasText: name });
  await pup.locator("summary").first().click();
  const paper = await opened(pup, "A paper is there");
  const papers = await paper.locator("option").count();
  assert.ok(papers > 1, "the rules ask for a paper");
  for (let place = 1; place < papers; place += 1) {
    await paper.getByLabel("Which").selectOption({ index: place });
    await keep(paper);
    await paper.locator(".told", { hasText: "Kept." }).waitFor();
  }
  const aside = await opened(pup, "Set a rule aside");
  await aside.getByLabel("Rule").selectOption("minimum_age");
  await aside.getByLabel("Why").fill("The vet allows it four days before.");
  await keep(aside);
  await pup.getByText("Set aside by Maren Holt").waitFor();

  await show(page, "#/buyers", "#promised");
  const card = page.locator("#promised ~ ul > li", { has: page.locator("h3", { hasText: `${name} →` }) });
  await card.locator("summary").first().click();
  const { sums } = await far.get(`${kennel}/placements/${placement.id}/account`, token);
  const pay = await opened(card, "Payments");
  await pay.locator("input[inputmode=decimal]").fill(String(sums.balance_due_minor / 100));
  await keep(pay);
  await card.getByText("May go.", { exact: false }).first().waitFor();
  await picture(page, "life-ready", true);
  const over = await opened(card, "Hand over");
  await keep(over);
  await card.waitFor({ state: "detached" });
  const now = await far.get(`${kennel}/placements/${placement.id}`, token);
  assert.equal(now.stage, "handed_over");
}
