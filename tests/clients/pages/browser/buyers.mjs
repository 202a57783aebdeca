// Buyers: somebody who asks, a proposal reserved and paid for, a hand-over that is too early, the booklet's link as
// its new owner sees it and tells how the pup is by it, and somebody who has left the list.
import assert from "node:assert/strict";
import { drawn, far, looked, opened, phone, picture, show } from "./tools.mjs";

export async function buyers(page, kennel, token) {
  await show(page, "#/buyers", "#promised");
  const waiting = page.locator("ol > li", { hasText: "Wilhelmina Strand" });
  const add = await opened(page, "Add somebody");
  await add.getByLabel("Name").fill("Wilhelmina Strand");
  await add.getByLabel("Email address").fill("not an address");
  await add.getByLabel("Sex", { exact: true }).selectOption("male");
  await add.getByLabel("No pup without this wish: sex").check();
  // The browser asks for an address before anything is sent.
  await add.locator("button.main").click();
  assert.equal(await add.locator("input:invalid").count(), 1);
  await add.getByLabel("Email address").fill("wilhelmina@example.org");
  await add.locator("button.main").click();
  await waiting.locator("summary", { hasText: "male (needed)" }).waitFor();

  await page.locator("#proposal ~ .row button").first().click();
  const pair = page.locator(".pairs > li").first();
  await pair.locator("summary").waitFor();
  const [pup, buyer] = (await pair.locator("h3").textContent()).split(" → ");
  await pair.locator("summary").click();
  await pair.locator("input[inputmode=decimal]").fill("1800,50");
  await pair.locator("button.main").click();
  const card = page.locator("#promised ~ ul > li", { has: page.locator("h3", { hasText: `${pup} → ${buyer}` }) });
  await card.getByText("€1,800.50").first().waitFor();
  await card.locator("summary").first().click();
  const pay = await opened(card, "Payments");
  await pay.locator("input[inputmode=decimal]").fill("300");
  await pay.locator("button.main").click();
  await card.getByText("Paid €300.00, open €1,500.50").waitFor();
  const over = await opened(card, "Hand over");
  await over.locator("button.main").click();
  await over.locator("[role=alert]").waitFor();
  await picture(page, "buyers-phone", true);
  const kept = (await far.get(`${kennel}/placements?limit=500`, token)).items.find((one) => one.price_minor === 180050);
  assert.equal(kept.stage, "reserved", "too early to hand over");

  const book = await opened(card, "Booklet");
  await book.getByText("Make a link").click();
  const link = await book.locator("input.long").inputValue();
  const stranger = await phone({ serviceWorkers: "block" });
  await stranger.goto(link);
  await stranger.locator(".facts").waitFor();
  await looked(stranger, "booklet");
  await picture(stranger, "booklet-phone", true);
  assert.doesNotMatch(await stranger.locator("#page").innerText(), new RegExp(buyer), "nothing of buyers is in a booklet");
  await reported(page, stranger, kennel, token);
  await book.getByText("Withdraw the link").click();
  await book.getByText("Withdraw the link").waitFor({ state: "detached" });
  await stranger.reload();
  await stranger.locator("[data-state=gone]").waitFor();
  assert.deepEqual(stranger.faults, []);
  await stranger.context().close();

  await waiting.locator("summary").first().click();
  const left = await opened(waiting, "Has left the list");
  await left.locator("textarea").fill("took a pup elsewhere");
  await left.locator("form button").click();
  await waiting.waitFor({ state: "detached" });
  // The entry stays, with the reason, and comes back when asked.
  const gone = await opened(page, "Have left the list");
  const one = gone.locator("li", { hasText: "Wilhelmina Strand" });
  await one.locator("summary").first().click();
  await one.getByText("took a pup elsewhere").first().waitFor();
  await one.getByText("Back on the list").click();
  await waiting.waitFor();
}

/** What the new owner tells by the link becomes record once the kennel accepts it. */
async function reported(page, stranger, kennel, token) {
  const found = "Loose stool for two days, none since";
  const tell = await opened(stranger, "Tell the kennel");
  await tell.locator("button.main").click();
  await tell.locator("[role=alert]").waitFor();
  await tell.getByLabel("How it behaves").fill("Sleeps through, meets everybody.");
  await tell.getByText("Add something about its health").click();
  await tell.getByLabel("What it was").selectOption("illness");
  await tell.getByLabel("On which day").fill((await far.get(`${kennel}/today`, token)).today);
  await tell.getByLabel("What was found").fill(found);
  await looked(stranger, "a report");
  await drawn(stranger, "booklet-report");
  await tell.locator("button.main").click();
  const own = stranger.locator("#report ~ ul > li", { hasText: found });
  await own.getByText("waits for the kennel").waitFor();

  const waits = page.locator("#reports ~ ul > li", { hasText: found });
  await waits.waitFor();
  const events = async () => (await far.get(`${kennel}/health-events?limit=500&kind=illness`, token)).items.filter((one) => JSON.stringify(one).includes(found)).length;
  assert.equal(await events(), 0, "nothing of it is on record before it is accepted");
  await drawn(page, "buyers-report");
  await waits.getByRole("button", { name: "Accept: into the record" }).click();
  await waits.waitFor({ state: "detached" });
  assert.equal(await events(), 1);
  await stranger.reload();
  await own.getByText("accepted").waitFor();
}
