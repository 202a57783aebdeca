// Who may see what: a login with a second factor, and a co-owner who sees her or his dog and nothing else.
import assert from "node:assert/strict";
import { createHmac } from "node:crypto";
import { far, go, looked, phone, picture, show, signIn, tobias } from "./tools.mjs";

/** The code of an authenticator app (RFC 6238), some steps of 30 s from now. */
export function code(secret, steps = 0) {
  const bits = [...secret].map((letter) => "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567".indexOf(letter).toString(2).padStart(5, "0")).join("");
  const key = Buffer.from(bits.match(/.{8}/g).map((byte) => parseInt(byte, 2)));
  const counter = Buffer.alloc(8);
  counter.writeBigUInt64BE(BigInt(Math.floor(Date.now() / 30_000) + steps));
  const hash = createHmac("sha1", key).update(counter).digest();
  const place = hash[19] & 15;
  return String((hash.readUInt32BE(place) & 0x7fffffff) % 1_000_000).padStart(6, "0");
}

/** `secret`: of the second factor that this person has confirmed */
export async function secondFactor(who, secret) {
  const page = await phone();
  await page.goto(far.base);
  await page.locator("input[name=email]").fill(who.email);
  await page.locator("input[name=password]").fill(who.password);
  await page.locator("form button.main").click();
  await page.locator("input[name=code]").waitFor();
  await looked(page, "second factor");
  await picture(page, "sign-in-code");
  await page.locator("input[name=code]").fill("000000");
  await page.locator("form button.main").click();
  await page.locator("form .warn", { hasText: "not, or no longer, good" }).waitFor();
  assert.equal(await page.locator(".banner").count(), 0, "nothing of the kennel is shown before the code");
  await page.locator("input[name=code]").fill(code(secret));
  await page.locator("form button.main").click();
  await page.locator(".banner").waitFor();
  assert.deepEqual(page.faults, []);
  await page.context().close();
}

/** @param hidden `litter` and `dam` that the co-owner has no share in; `own`: a dam of the co-owner */
export async function coOwner(kennel, token, hidden) {
  const { access_token: own } = await far.post("/v1/auth/login", tobias);
  const names = async (by) => new Set((await far.get(`${kennel}/dogs?limit=500`, by)).items.map((dog) => dog.call_name ?? dog.name).filter(Boolean));
  const his = await names(own);
  const others = [...(await names(token))].filter((name) => !his.has(name));
  assert.ok(his.size > 0 && others.length > 0, "there is something to see and something not");
  const page = await phone();
  await signIn(page, tobias);
  for (const [hash, seen] of [["#/", ".cards"], ["#/wall", ".tasks"], ["#/mating", ".sires .card"], ["#/buyers", "#promised"], ["#/kennel", "#plans"], ["#/year", "svg.year"]]) {
    await show(page, hash, seen);
    await page.locator(".banner .alarm, .banner .quiet").first().waitFor();
    const words = await page.locator("#page").innerText();
    const told = others.filter((name) => new RegExp(`\\b${name}\\b`).test(words));
    assert.deepEqual(told, [], `${hash} names dogs that are not the co-owner's to see`);
  }
  await show(page, "#/kennel", "#statements ~ ul > li, #statements ~ p:last-of-type");
  assert.ok(await page.locator("#statements ~ ul > li").count() <= 1, "a co-owner sees the own statement alone");
  for (const hash of [`#/litter/${hidden.litter}`, `#/dam/${hidden.dam}`]) {
    await go(page, hash);
    await page.locator("main [data-state=gone]").waitFor();
  }
  await picture(page, "co-owner-gone");
  // The own dam with the sires that may be seen: compared, looked at closer, one planned.
  await show(page, `#/mating/${hidden.own}`, ".sires .card");
  const sires = (await far.get(`${kennel}/dogs?sex=male&for_breeding=true`, own)).items;
  assert.equal(await page.locator(".sires > .card").count(), sires.length);
  const card = page.locator(".sires > .card").first();
  await card.locator("button[aria-expanded]").click();
  await card.locator(".closer li").first().waitFor();
  await card.locator("summary", { hasText: "Plan a mating" }).click();
  await card.locator("input[type=date]").fill("2027-12-06");
  await card.locator("button.main").click();
  await card.locator(".told", { hasText: "Kept." }).waitFor();
  await picture(page, "mating-phone", true);
  await show(page, `#/dam/${hidden.own}`, "#matings");
  await page.locator("section .card", { hasText: "planned for 6 Dec 2027" }).waitFor();
  assert.deepEqual(page.faults, []);
  await page.context().close();
}
