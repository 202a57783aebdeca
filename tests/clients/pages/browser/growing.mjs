// How the pups of life.mjs grow and go: weighed round by round, wormed, weaned, seen by the vet, and one of them
// promised, paid for and handed over with its booklet on the first day on which it may go.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { drawn, far, keep, looked, opened, phone, sent, show, stored } from "./tools.mjs";

/** Days of age of each round, and what is done after it. */
const ROUNDS = [[1], [4], [7], [14, wormed], [21, asked], [28, wormed], [42, wormed, reserved], [49, weaned], [56, vet, early]];
/** Days of age until which the pup is held, and of the first day on which it may go: older than eight weeks. */
const [HELD_UNTIL, GOES] = [63, 57];
const CHIP = "276098100400117";
const BUYER = { name: "Wilhelmina Strand", email: "wilhelmina@example.org" };

/** Grams at so many days of age: doubled in nine days, 6.5 kg at eight weeks. */
const grams = (birth, days) => Math.round(birth + birth / 10 * days + 1.2 * days ** 2);

/** @param one `litter`: its id, `born`: its day, `pups`: of the night */
export async function grow(page, calendar, one) {
  for (const [days, ...deeds] of ROUNDS) {
    await calendar.to(one.born + days, "10:00");
    await weighed(page, one, days);
    for (const deed of deeds) await deed(page, calendar, one);
  }
}

async function weighed(page, { litter, pups }, days) {
  await show(page, "#/", ".cards");
  await show(page, `#/weigh/${litter}`, ".pad");
  for (const [, , birth] of pups) await figure(page, grams(birth, days));
  await page.locator("[data-testid=round-end]").waitFor();
  if (days !== 7) return;
  await page.locator(".figures li", { hasText: "in 3 days" }).nth(pups.length - 1).waitFor();
  await drawn(page, "life-round");
}

/**
 * Types a pup's figure and waits until it is stored and nothing is left of its turn. The service asks about what it
 * does not expect; where it answers late, the page does, and the service after it: all of it was meant.
 */
async function figure(page, weight) {
  const turn = await page.locator("[data-testid=turn]").textContent();
  await page.keyboard.type(String(weight));
  await page.locator(".typed output", { hasText: new RegExp(`^${weight}$`) }).waitFor();
  await page.locator(".confirm").click();
  const asked = (was) => {
    if (document.querySelector(".question")) return "question";
    const now = document.querySelector("[data-testid=turn]");
    const done = now ? now.textContent !== was && document.querySelector(".confirm:enabled") : document.querySelector("[data-testid=round-end]");
    return done && /All is sent/.test(document.querySelector(".outbox .sum").textContent) && "next";
  };
  while (await (await page.waitForFunction(asked, turn)).jsonValue() === "question") {
    await page.locator(".question .taps button").nth(1).click();
    await page.locator(".question").waitFor({ state: "detached" });
  }
}

/**
 * Opens the litter's page, and waits until what is due is of now: what was kept of another day is shown first, and
 * has steps that were done since.
 */
async function toLitter(page, { litter, pups }) {
  const read = new Set();
  const all = page.waitForResponse((one) => one.url().endsWith("/schedule") && read.add(one.url()).size === pups.length);
  await show(page, `#/litter/${litter}`, ".grid");
  await all;
}

/** Writes the first step of this name that is due as given to all pups but some. */
async function given(page, all, step, fields, but = []) {
  await page.locator(".grid tr", { hasText: step }).filter({ has: page.locator("button") }).first().locator("button").click();
  const form = page.locator("form.panel");
  for (const [label, text] of Object.entries(fields)) await form.getByLabel(label).fill(text);
  await form.locator("input[type=checkbox]").nth(all - 1).waitFor();
  for (const pup of but) await form.getByLabel(pup).uncheck();
  await form.locator("button.main").click();
  await form.waitFor({ state: "detached" });
  await page.locator(".undo button", { hasText: `Given to ${all - but.length}` }).waitFor();
  await sent(page);
}

async function wormed(page, calendar, { litter, pups }) {
  await toLitter(page, { litter, pups });
  await given(page, pups.length, /^(First worming|Worming every 14 days)/, { Product: "Dewormer, as the vet said" });
}

async function asked(page) {
  await show(page, "#/buyers", "#promised");
  const add = await opened(page, "Add somebody");
  await add.getByLabel("Name").fill(BUYER.name);
  await add.getByLabel("Email address").fill(BUYER.email);
  await add.getByLabel("Sex", { exact: true }).selectOption("female");
  await keep(add);
  await page.locator("ol > li", { hasText: BUYER.name }).waitFor();
}

async function reserved(page, calendar, { born }) {
  await show(page, "#/buyers", "#promised");
  const waits = page.locator("ol > li", { hasText: BUYER.name });
  await waits.locator("summary").first().click();
  const reserve = await opened(waits, "Reserve a pup");
  await reserve.getByLabel("Pup").selectOption({ index: 1 });
  await reserve.getByLabel("Price, EUR").fill("1800");
  await reserve.getByLabel("Held until").fill(calendar.day(born + HELD_UNTIL));
  await keep(reserve);
  const card = promised(page);
  await card.getByText(`held until ${calendar.told(born + HELD_UNTIL)}`).waitFor();
  await paid(card, "deposit", "300");
  await card.getByText("Paid €300.00, open €1,500.00").waitFor();
}

const promised = (page) => page.locator("#promised ~ ul > li", { hasText: BUYER.name });

async function paid(card, kind, sum) {
  if (await card.locator("details[open]").count() === 0) await card.locator("summary").first().click();
  const pay = await opened(card, "Payments");
  await pay.getByLabel("What").selectOption(kind);
  await pay.getByLabel("Sum, EUR").fill(sum);
  await keep(pay);
}

async function weaned(page, calendar, { litter, born }) {
  await show(page, `#/litter/${litter}`, ".grid");
  const change = await opened(page, "Change the litter");
  await change.getByLabel("Weaned on").fill(calendar.day(born + 49));
  await keep(change);
  await stored(page, change);
}

/** The vet's visit; one pup's eyes are to be looked at elsewhere, which the owner answers for. */
async function vet(page, calendar, { litter, pups }) {
  await toLitter(page, { litter, pups });
  await drawn(page, "life-eight-weeks");
  await given(page, pups.length, /^Worming every 14 days/, { Product: "Dewormer, as the vet said" });
  await given(page, pups.length, /^First core vaccination/, { Product: "Core vaccine", Batch: "B-4711" });
  await given(page, pups.length, /^Microchip/, {});
  await given(page, pups.length, /^Veterinary examination/, { Note: "Nothing found." }, ["blue"]);
  const [first, second] = [page.locator(".pups-ready > li").nth(0), page.locator(".pups-ready > li").nth(1)];
  await first.locator("summary").first().click();
  await first.getByText("It was chipped, but no number is recorded").waitFor();
  const known = await opened(first, "Name and microchip");
  await known.getByLabel("Called").fill("Saffron");
  await known.getByLabel("Microchip").fill(CHIP);
  await keep(known);
  await first.getByText(`Chip ${CHIP}.`).waitFor();
  await second.locator("summary").first().click();
  const aside = await opened(second, "Set a rule aside");
  await aside.getByLabel("Rule").selectOption("examination");
  await aside.getByLabel("Why").fill("Her eyes are looked at by a specialist next week.");
  await keep(aside);
  await second.getByText("Set aside by Maren Holt").waitFor();
}

/** A day before she may go all is paid, and the service refuses. */
async function early(page, calendar, { litter, born }) {
  await show(page, "#/buyers", "#promised");
  const card = promised(page);
  await card.getByText(`May go from ${calendar.told(born + GOES)} on;`).waitFor();
  await paid(card, "payment", "1500");
  await card.getByText("Paid €1,800.00, open €0.00").waitFor();
  const over = await opened(card, "Hand over");
  await keep(over);
  await over.locator("[role=alert]", { hasText: "Least age: 8 completed weeks old" }).waitFor();
  await drawn(page, "life-early");
}

export async function handOver(page, calendar, { litter, born, pups }) {
  await calendar.to(born + GOES, "10:00");
  await show(page, `#/litter/${litter}`, ".pups-ready");
  const pup = page.locator(".pups-ready > li", { hasText: "Saffron" });
  await pup.locator("summary").first().click();
  const paper = await opened(pup, "A paper is there");
  await paper.getByLabel("Which").selectOption("sale_contract");
  await keep(paper);
  await pup.getByText("may go").first().waitFor();
  await looked(page, "a litter of eight weeks");
  await drawn(page, "life-may-go");

  await show(page, "#/buyers", "#promised");
  const card = promised(page);
  await card.getByText("May go.").waitFor();
  await card.locator("summary").first().click();
  await booklet(page, card, pups[0][2]);
  const over = await opened(card, "Hand over");
  await drawn(page, "life-ready");
  await keep(over);
  await card.waitFor({ state: "detached" });
  const gone = await opened(page, "Handed over");
  await gone.getByText(`${BUYER.name} · ${calendar.told(born + GOES)}`).waitFor();
  await drawn(page, "life-gone");
  await show(page, `#/litter/${litter}`, "#placed");
  assert.deepEqual(await page.locator(".births li .time").allTextContents(), pups.map(([at]) => `${calendar.told(born).replace(/ \d+$/, "")}, ${at}`));
  await page.locator(".pups-ready > li").nth(pups.length - 1).waitFor({ state: "detached" });
  await page.locator("#placed ~ ul > li", { hasText: `handed over · ${BUYER.name} · ${calendar.told(born + GOES)}` }).waitFor();
  await drawn(page, "life-left");
}

/** The booklet printed, and as the new owner reads it: what was written on the way stands in it. */
async function booklet(page, card, birth) {
  const book = await opened(card, "Booklet");
  const [file] = await Promise.all([page.waitForEvent("download"), book.getByRole("button", { name: "Booklet (PDF)" }).click()]);
  assert.match(readFileSync(await file.path(), "latin1"), /^%PDF-/);
  await book.getByText("Make a link").click();
  const owner = await phone({ serviceWorkers: "block" });
  await owner.clock.install({ time: far.now() });
  await owner.goto(await book.locator("input.long").inputValue());
  await owner.locator(".facts").waitFor();
  const words = (await owner.locator("#page").innerText()).replaceAll("\u00a0", " ");
  for (const part of ["Saffron", CHIP, "S litter", `${birth} g`, "Core vaccine · B-4711", "Dewormer, as the vet said"]) assert.ok(words.includes(part), part);
  assert.equal(await owner.locator(".weights li").count(), 1 + ROUNDS.length, "the weight at birth, and of each round");
  await drawn(owner, "life-booklet");
  assert.deepEqual(owner.faults, []);
  await owner.context().close();
}
