// A night on two phones, and a weighing round with the network cut and the service killed under it.
import assert from "node:assert/strict";
import { far, forReadme, go, looked, maren, measured, picture, shownAfter, small } from "./tools.mjs";

export async function night(one, other, litter) {
  for (const page of [one, other]) {
    await go(page, `#/night/${litter}`);
    await page.locator(".taps").waitFor();
  }
  const counts = (page) => page.locator("[data-testid=counts] strong").textContent();
  assert.match(await counts(one), /^0 pups/);
  assert.deepEqual(await small(one), []);
  await one.locator(".taps .wide").click();
  const took = await shownAfter(one, ".taps button.main", ".log li");
  measured("a birth, taps", 2, 2);
  measured("a birth, ms from tap to shown", took);
  const began = Date.now();
  await other.locator(".log li").first().waitFor();
  measured("a birth on the other phone, ms", Date.now() - began);
  await one.locator(".panel button.main", { hasText: "Done" }).click();
  await other.locator("[data-testid=counts]", { hasText: "1 pup out" }).waitFor();
  await other.locator(".tap-contractions").click();
  await other.locator(".panel .taps button").first().click();
  await one.locator(".log", { hasText: "strong" }).waitFor();
  await picture(one, "night-phone");
  await one.emulateMedia({ colorScheme: "dark" });
  await forReadme(one, "night", { width: 360, height: 780 });
  await one.emulateMedia({ colorScheme: null });
  // Undone with two taps at most, on both.
  await other.locator(".undo button").click();
  await one.locator(".log li", { hasText: "strong" }).waitFor({ state: "detached" });
}

/** What was given is written by two taps and words, in each language; without words nothing is. */
export async function given(one, other, litter) {
  for (const [page, language, name, whom, amount, by] of [
    [one, "en", "Given", "to the dam", "as the vet said on the phone", "our vet"], [other, "de", "Gegeben", "einem Welpen", "wie am Telefon gesagt", "unser Tierarzt"],
  ]) {
    await go(page, `#/night/${litter}`);
    await page.locator(".taps").waitFor();
    await page.locator(".foot select").first().selectOption(language);
    await page.locator(`html[lang=${language}]`).waitFor();
    await page.locator(".tap-given", { hasText: name }).click();
    await looked(page, `given ${language}`);
    await page.locator(".panel button.main").click();
    assert.ok(await page.locator(".panel textarea[name=remedy]").isVisible(), "nothing is written without saying what");
    // Half written, it is there again when one comes back.
    await page.locator(".panel textarea[name=remedy]").fill(`glucose (${language})`);
    await page.locator(".panel .back").click();
    await page.locator(".tap-given").click();
    await page.locator(".panel [role=group] button", { hasText: whom }).first().click();
    await page.locator(".panel textarea[name=amount]").fill(amount);
    await page.locator(".panel textarea[name=advised_by]").fill(by);
    await picture(page, `given-phone-${language}`);
    await page.locator(".panel button.main").click();
    await page.locator(".log li", { hasText: `${name}: ${whom} · glucose (${language}) · ${amount} · ${by}` }).waitFor();
  }
  await other.locator(".foot select").first().selectOption("en");
  await one.locator(".log li", { hasText: "(de) · wie am Telefon gesagt" }).waitFor();
  const { access_token: token } = await far.post("/v1/auth/login", maren);
  const kennel = (await far.get("/v1/me", token)).kennels[0].kennel_id;
  const events = (await far.get(`/v1/kennels/${kennel}/litters/${litter}/whelping`, token)).items.map((line) => line.event);
  assert.deepEqual(events.filter((event) => event.kind === "given"), [
    { kind: "given", remedy: "glucose (en)", amount: "as the vet said on the phone", advised_by: "our vet", given_to: "dam", ordinal: null },
    { kind: "given", remedy: "glucose (de)", amount: "wie am Telefon gesagt", advised_by: "unser Tierarzt", given_to: "pup", ordinal: null },
  ]);
}

export async function round(page, litter, pups) {
  await go(page, `#/weigh/${litter}`);
  await page.locator(".pad").waitFor();
  const bottom = await page.locator(".confirm").evaluate((key) => key.getBoundingClientRect().bottom);
  measured("weighing without scrolling on 360 x 640, lower edge of the last key", Math.round(bottom), 640);
  assert.deepEqual(await small(page), []);
  await picture(page, "weigh-phone");
  for (let count = 0; count < pups; count += 1) {
    const beside = await page.locator(".beside").textContent();
    const [low, high] = beside.match(/Expected ([\d,]+)\sg to ([\d,]+)/)?.slice(1).map((text) => Number(text.replace(",", ""))) ?? [700, 700];
    const turn = await page.locator("[data-testid=turn]").textContent();
    // The network is cut, comes back, and the service is killed and started, while the round goes on.
    if (count === 2) await page.context().setOffline(true);
    if (count === 3) await page.context().setOffline(false);
    if (count === 4) await far.stop("SIGKILL");
    if (count === 5) {
      await page.keyboard.type("9999");
      await page.keyboard.press("Enter");
      await page.locator("[data-testid=question]").waitFor();
      await picture(page, "weigh-question");
      await page.locator("[data-testid=question] button.main").click();
      await page.locator(".pad").waitFor();
      await far.start();
    }
    for (const digit of String(Math.round((low + high) / 2))) await page.locator(".pad button", { hasText: new RegExp(`^${digit}$`) }).click();
    await page.locator(".confirm").click();
    await page.waitForFunction((was) => document.querySelector("[data-testid=turn]")?.textContent !== was, turn);
  }
  await page.locator("[data-testid=round-end]").waitFor();
  await page.locator(".outbox .sum", { hasText: "All is sent." }).waitFor({ timeout: 90_000 });
  await picture(page, "round-end", true);
}

/** A wall that is read again while nothing has changed is told so, and shows what it has. */
export async function unchanged(page) {
  await go(page, "#/wall");
  await page.locator(".tasks li").first().waitFor();
  await page.locator(".cards .pups li").first().waitFor();
  // The answers of a wall hold for the minute they are of: asked four times in a row, one pair lies within one.
  const statuses = [];
  for (let time = 0; time < 4; time += 1) {
    const members = page.waitForResponse((answer) => /\/members$/.test(answer.url()));
    const today = page.waitForResponse((answer) => /\/today$/.test(answer.url()));
    await page.evaluate(() => { document.dispatchEvent(new Event("visibilitychange")); });
    statuses.push((await today).status());
    if (time > 0) assert.equal((await members).status(), 304);
    else await members;
  }
  assert.ok(statuses.includes(304), `today answered ${statuses}`);
  // It shows what it has, and as of now.
  assert.equal(await page.locator(".wall .state, [data-testid=age]").count(), 0);
  assert.ok(await page.locator(".cards .pups li").count() > 0);
}

export async function offline(page) {
  await go(page, "#/wall");
  await page.locator(".tasks").waitFor();
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
  await page.waitForFunction(() => navigator.serviceWorker.controller);
  await page.context().setOffline(true);
  await page.reload();
  await page.locator("[data-testid=age]").first().waitFor();
  await page.locator(".tasks li").first().waitFor();
  assert.match(await page.locator("[data-testid=age]").first().textContent(), /as of \d\d:\d\d/);
  await page.context().setOffline(false);
}
