// The pages in a real browser. Arguments: the program, the browser, a folder. Waits are for what is seen, with
// a limit; nothing sleeps.
import assert from "node:assert/strict";
import { buyers } from "./buyers.mjs";
import { dam } from "./dam.mjs";
import { docs } from "./docs.mjs";
import { drawings } from "./drawings.mjs";
import { kennelPage, ownSecondFactor } from "./kennel.mjs";
import { life } from "./life.mjs";
import { litter } from "./litter.mjs";
import { given, night, offline, round, unchanged } from "./night.mjs";
import { coOwner } from "./people.mjs";
import { pictures } from "./pictures.mjs";
import { rings } from "./rings.mjs";
import { sound } from "./sound.mjs";
import { units } from "./units.mjs";
import { year } from "./year.mjs";
import { PHONE, WALL, browser, far, forReadme, looked, maren, measured, measures, phone, picture, show, signIn } from "./tools.mjs";

async function firstPaint() {
  const page = await phone({ serviceWorkers: "block" });
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  await session.send("Network.enable");
  let bytes = 0;
  session.on("Network.loadingFinished", (one) => { bytes += one.encodedDataLength; });
  await page.goto(far.base);
  await page.locator("input[name=email]").waitFor();
  const { paint, use } = await page.evaluate(() => ({
    paint: performance.getEntriesByName("first-contentful-paint")[0]?.startTime ?? 0, use: performance.now(),
  }));
  // The figures of a busy machine are told, not held to a limit; the bytes are.
  measured("first paint, processor slowed 4 times, ms", Math.round(paint));
  measured("first use, ms", Math.round(use));
  measured("first page over the wire, bytes", bytes, 150_000);
  await page.context().close();
}

/** Each page, as [name, address, what is seen of it]. */
const everyOne = (litters) => [
  ["home", "#/", ".cards"], ["litter", `#/litter/${litters.grown}`, ".grid td"], ["dam", `#/dam/${litters.dam}`, ".heat"],
  ["buyers", "#/buyers", "#promised"], ["kennel", "#/kennel", "#plans"], ["year", "#/year", "svg.year"], ["mating", `#/mating/${litters.dam}`, ".sires"],
  ["night", `#/night/${litters.coming}`, ".taps"], ["weigh", `#/weigh/${litters.young}`, ".pad, .round-end"],
  ["newborns", `#/newborns/${litters.young}`, ".newborns > li"],
  ["wall", "#/wall", ".tasks"], ["vet", "#/vet", "input[type=tel]"], ["gone", "#/nothing", "[data-state=gone]"],
];

/** Words that English sentences of the service hold, and German ones, names and typed notes do not. */
const ENGLISH = /\b(the vet|the pups?|the litter|of the|is not|was not|has not|from the|days old|by hand or)\b/gi;

/** What the service says is German as well, but for sources, which are cited as they are called. */
async function inGerman(page, what) {
  await page.waitForFunction(() => ![...document.querySelectorAll("main [data-state=loading]")].length);
  const found = async () => (await page.evaluate(() => {
    const copy = document.body.cloneNode(true);
    for (const one of copy.querySelectorAll("[lang=en], input, textarea, option, script")) one.remove();
    return copy.textContent;
  })).match(ENGLISH) ?? [];
  // What was shown in the language of before is asked for anew.
  for (const end = Date.now() + 5_000; Date.now() < end && (await found()).length > 0;) await page.waitForTimeout(50);
  assert.deepEqual(await found(), [], `${what} in German`);
}

/**
 * Each page on a phone and on a wall, light and dark, in both languages: in full the way it comes, then in the other
 * language and light what these change, its colours, sizes and width.
 */
async function everyPage(litters) {
  for (const [name, options, other] of [
    ["phone", { viewport: PHONE, locale: "en-GB", colorScheme: "light" }, { language: "de", colorScheme: "dark" }],
    ["wall", { viewport: WALL, locale: "de-DE", colorScheme: "light" }, { language: "en", colorScheme: "dark" }],
  ]) {
    const page = await phone(options);
    const own = options.locale.slice(0, 2);
    const bothWays = async (what) => {
      await looked(page, `${what} ${name}`);
      await picture(page, `${what}-${name}-${own}`, true);
      await page.emulateMedia({ colorScheme: other.colorScheme });
      await page.locator(".foot select").first().selectOption(other.language);
      await page.locator(`html[lang=${other.language}]`).waitFor();
      await looked(page, `${what} ${name} ${other.language} ${other.colorScheme}`, ["color-contrast", "target-size"]);
      await picture(page, `${what}-${name}-${other.language}-dark`, true);
      if (other.language === "de") await inGerman(page, what);
      await page.emulateMedia({ colorScheme: options.colorScheme });
      if (what === "wall" && name === "wall") await forReadme(page, "wall", { width: 1600, height: 1000 });
      await page.locator(".foot select").first().selectOption(own);
      await page.locator(`html[lang=${own}]`).waitFor();
    };
    await page.goto(far.base);
    await page.locator("input[name=email]").waitFor();
    await bothWays("sign-in");
    await signIn(page);
    for (const [what, hash, seen] of everyOne(litters)) {
      await show(page, hash, seen);
      await page.locator(".banner .alarm, .banner .quiet").first().waitFor();
      await bothWays(what);
    }
    assert.deepEqual(page.faults, [], name);
    await page.context().close();
  }
}

/** Parts to run alone, while one works at a page. */
const only = process.env.PAGES_PARTS?.split(",");

/** Runs a part and says how long it took. */
async function part(what, run) {
  if (only && !only.includes(what)) return;
  const began = Date.now();
  await run();
  measured(`${what}, s`, Math.round((Date.now() - began) / 1000));
}

let failed = false;
try {
  const { access_token: token } = await far.post("/v1/auth/login", maren);
  const kennel = `/v1/kennels/${(await far.get("/v1/me", token)).kennels[0].kennel_id}`;
  const today = await far.get(`${kennel}/today`, token);
  const coming = today.litters.find((litter) => litter.expected).litter_id;
  const young = today.litters.filter((litter) => litter.pups.length > 0).sort((a, b) => a.age_days - b.age_days)[0];
  const grown = today.litters.find((one) => one.age_days > 40).litter_id;
  await part("first paint", firstPaint);
  await part("the document", docs);
  await part("drawings", () => drawings(kennel, token));
  const [one, other] = [await phone(), await phone()];
  await signIn(one);
  await signIn(other);
  await part("every page", async () => everyPage({ coming, young: young.litter_id, grown, dam: (await far.get(`${kennel}/litters/${coming}`, token)).dam_id }));
  await part("a litter", () => litter(other, kennel, token, grown));
  await part("a dam", () => dam(other, kennel, token, { coming, young: young.litter_id }));
  await part("buyers", () => buyers(other, kennel, token));
  await part("the kennel", () => kennelPage(other, kennel, token));
  await part("rings", () => rings(kennel, token, { pup: young.pups[0].dog_id, litter: young.litter_id }));
  await part("pictures", async () => pictures(kennel, token, { litter: grown, dam: (await far.get(`${kennel}/litters/${grown}`, token)).dam_id }));
  await part("units", () => units(other, kennel, token, { coming, young: young.litter_id }));
  await part("a year", () => year(other, kennel, token));
  await part("people", async () => {
    await ownSecondFactor();
    await coOwner(kennel, token, { litter: grown, dam: (await far.get(`${kennel}/litters/${grown}`, token)).dam_id, own: (await far.get(`${kennel}/litters/${young.litter_id}`, token)).dam_id });
  });
  await part("on bad ways", () => sound(grown));
  await part("a night", () => night(one, other, coming));
  await part("given", () => given(one, other, coming));
  await part("a wall unchanged", () => unchanged(one));
  await part("a round", async () => {
    const weights = async () => (await far.get(`${kennel}/dogs/${young.pups[0].dog_id}/weights`, token)).items.length;
    const before = await weights();
    await round(one, young.litter_id, young.pups.length);
    assert.equal(await weights(), before + 1, "each weight is there once");
    measured("a round, numbers and confirmations for so many pups", young.pups.length);
    await offline(one);
  });
  assert.deepEqual([...one.faults, ...other.faults], []);
  // Days go by from here on: for none of these.
  await Promise.all([one, other].map((page) => page.context().close()));
  await part("a life", life);
} catch (error) {
  failed = true;
  console.error(error);
  for (const [place, page] of browser.contexts().flatMap((context) => context.pages()).entries()) {
    console.error(`page ${place}: ${page.url()}`, page.faults, page.refused);
    console.error(page.lately.join("\n"));
    // A page that answers nothing any more is told by that.
    const shown = await Promise.race([page.evaluate(() => `${new Date().toISOString()} ${document.visibilityState} ${document.body.innerText.slice(0, 600)}`),
      new Promise((done) => setTimeout(done, 5_000))]).catch(String);
    console.error(`it shows: ${shown}`);
    await picture(page, `failed-${place}`, true).catch(() => {});
  }
  console.error(`the service said:\n${far.said()}`);
} finally {
  console.log(measures.join("\n"));
  await browser.close();
  await far.stop("SIGTERM");
}
process.exit(failed ? 1 : 0);
