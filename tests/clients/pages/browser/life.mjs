// The life of one litter by the pages alone, in a kennel that begins with nothing, while the days go by for the
// service and the phone: a dam and a sire entered, her heat, readings, matings, a check, and the night. How its pups
// grow and go stands in growing.mjs.
import assert from "node:assert/strict";
import { Calendar } from "./calendar.mjs";
import { grow, handOver } from "./growing.mjs";
import { drawn, far, keep, looked, maren, opened, phone, sent, show, signIn, stored } from "./tools.mjs";

const KENNEL = { name: "Thornmead Kennel", time_zone: "Europe/Berlin", jurisdiction: "DE", currency: "EUR", vet_phone: "+49 30 23125 100" };
/** Days of the calendar: her heat begins on day 0. */
const [READ, MATED, CHECKED, BORN] = [9, 11, 39, 74];
/** When each pup comes, its sex, and its weight in grams. */
const PUPS = [["01:10", "female", 412], ["01:45", "male", 438], ["02:35", "female", 396]];
/** The weight of the pup whose palate is not as it should be. */
const CLEFT = 438;

export async function life() {
  const { access_token: token } = await far.post("/v1/auth/login", maren);
  await far.post("/v1/kennels", KENNEL, token);
  const page = await phone();
  await page.clock.install();
  await signIn(page);
  await page.getByLabel("Kennel").selectOption({ label: KENNEL.name });
  await page.locator("h1", { hasText: KENNEL.name }).waitFor();
  await page.locator("main [data-state=empty]").waitFor();
  const calendar = new Calendar(page, KENNEL.time_zone);
  await dogs(page);
  await bred(page, calendar);
  const litter = await expected(page, calendar);
  await whelped(page, calendar, litter);
  await grow(page, calendar, { litter, born: BORN, pups: PUPS });
  await handOver(page, calendar, { litter, born: BORN, pups: PUPS });
  assert.deepEqual(page.faults, []);
  await page.context().close();
}

async function dogs(page) {
  for (const [name, sex] of [["Sorrel", "female"], ["Alder", "male"]]) {
    await show(page, "#/kennel", "#dogs");
    const add = await opened(page, "Add a dog");
    await add.getByLabel("Called").fill(name);
    await add.getByLabel("Sex").selectOption(sex);
    await add.getByLabel("Born").fill("2023-04");
    await add.getByLabel("Breed").fill("Labrador Retriever");
    await keep(add);
    await stored(page, add);
    await show(page, "#/", "main h2");
  }
}

/** Opens her page, as one who comes back to it. */
async function toDam(page) {
  await show(page, "#/", "main h2");
  await page.getByRole("link", { name: "Sorrel" }).click();
  await page.locator("#matings").waitFor();
}

/** Heat, readings and two matings, each on its day: what a form proposes for the day is taken. */
async function bred(page, calendar) {
  await calendar.to(0, "10:00");
  await toDam(page);
  await keep(await opened(page, "A heat has begun"));
  await page.getByText(`Since ${calendar.told(0)}`).waitFor();
  for (const [day, value] of [[READ, "2,4"], [MATED, "6,1"]]) {
    await calendar.to(day, "10:00");
    await toDam(page);
    const reading = await opened(page, "Add a reading");
    await reading.getByLabel("Value").fill(value);
    await reading.getByLabel("Unit").selectOption("ng_per_ml");
    await keep(reading);
    await page.locator(".heat li", { hasText: `Progesterone: ${value.replace(",", ".")} ng/ml` }).waitFor();
  }
  const sign = page.locator(".fold", { hasText: "Add a reading" });
  await sign.getByRole("button", { name: "Sign" }).click();
  await sign.getByLabel("What was seen").selectOption("standing");
  await keep(sign);
  await page.locator(".heat li", { hasText: "Sign: stands" }).waitFor();
  await page.getByText("Fertile days").waitFor();
  await drawn(page, "life-heat");
  const mating = await opened(page, "A mating has happened");
  await mating.getByLabel("Sire").selectOption({ label: "Alder" });
  await mating.getByLabel("How").selectOption("natural");
  await keep(mating);
  await page.locator("section .card", { hasText: "Alder · done" }).waitFor();
  await calendar.to(MATED + 2, "17:30");
  await toDam(page);
  const again = await opened(page, "Mated again");
  await keep(again);
  await stored(page, again);
  await page.locator("section .card", { hasText: "; " }).first().waitFor();
}

/** @returns {Promise<string>} the litter's id */
async function expected(page, calendar) {
  await calendar.to(CHECKED, "11:00");
  await toDam(page);
  const check = await opened(page, "Pregnancy check");
  await check.getByLabel("How").selectOption("ultrasound");
  await check.getByLabel("Result").selectOption("pregnant");
  await check.getByLabel("Pups seen for certain").fill("3");
  await keep(check);
  await page.locator("section .card", { hasText: "ultrasound · pregnant · at least 3 pups" }).waitFor();
  const expect = await opened(page, "Expect a litter");
  await expect.getByLabel("Name of the litter").fill("S litter");
  await keep(expect);
  await page.locator(".bars li").first().waitFor();
  await page.locator(".risks").getByText("how she whelped before she came here").waitFor();
  await drawn(page, "life-due");
  await page.locator("section .button", { hasText: "Whelping" }).first().click();
  await page.locator(".taps").waitFor();
  return new URL(page.url()).hash.split("/").pop();
}

/** The night, five weeks later: the session has ended meanwhile, and one signs in again where one was. */
async function whelped(page, calendar, litter) {
  await calendar.to(BORN - 1, "21:00");
  await page.locator("form p", { hasText: "has ended" }).waitFor();
  await signIn(page);
  await page.locator(".taps").waitFor();
  assert.equal(new URL(page.url()).hash, `#/night/${litter}`);
  await page.locator(".tap-temperature").click();
  await page.locator(".panel input").fill("36,8");
  await page.locator(".panel button.main").click();
  await page.locator(".log", { hasText: "36.8 °C" }).waitFor();
  await calendar.to(BORN, "00:20");
  await page.locator(".tap-contractions").click();
  await page.locator(".panel").getByRole("button", { name: "strong" }).click();
  for (const [at, sex, grams] of PUPS) {
    await calendar.to(BORN, at);
    await page.locator(".taps .wide").click();
    await page.locator(".panel").getByRole("button", { name: sex, exact: true }).click();
    await page.locator(".panel").getByRole("button", { name: "passed" }).click();
    await page.locator(".panel").getByLabel("Weight, g").fill(String(grams));
    await lookedOver(page, grams === CLEFT);
    await page.locator(".panel button.main", { hasText: "Done" }).click();
    await page.locator(".log li", { hasText: `${grams} g` }).filter({ hasText: at }).waitFor();
    await sent(page);
  }
  await page.locator("[data-testid=counts]", { hasText: "3 pups out" }).waitFor();
  await drawn(page, "life-night");
  await newborns(page, litter);
  await page.locator(".tap-finished").click();
  await page.locator(".panel").getByRole("button", { name: "All pups are out" }).click();
  await page.locator("[data-testid=counts]", { hasText: "all out" }).waitFor();
}

/** Before its first feed: all as it should be, or its palate is not. */
async function lookedOver(page, isCleft) {
  await page.locator(".panel").getByRole("button", { name: "Look it over" }).click();
  const look = page.locator(".look-over");
  if (isCleft) await look.getByRole("button", { name: "Palate" }).click();
  await look.getByRole("button", { name: isCleft ? "Keep: 1 not as it should be" : "All eleven as they should be" }).click();
  await look.waitFor({ state: "detached" });
}

/** The round says what the look over each pup found; it rings until the vet has seen it. */
async function newborns(page, litter) {
  await page.getByRole("link", { name: "Newborns" }).click();
  await page.locator(".newborns > li", { hasText: "11 of 11 places, 11 as they should be" }).nth(PUPS.length - 2).waitFor();
  const pup = page.locator(".newborns > li", { hasText: "11 of 11 places, 10 as they should be" });
  await pup.getByText("Palate: not as it should be").waitFor();
  await pup.locator(".alarm", { hasText: "palate" }).waitFor();
  await looked(page, "newborns of a night");
  await drawn(page, "life-newborns");
  await pup.getByRole("button", { name: "The vet has seen it" }).click();
  await pup.getByText("Palate: seen by the vet").waitFor();
  await pup.locator(".alarm", { hasText: "palate" }).waitFor({ state: "detached" });
  await show(page, `#/night/${litter}`, ".taps");
}
