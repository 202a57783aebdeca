// Parts of the pages that need no browser: texts, the number pad, a round, the night's log, the stream.
import assert from "node:assert/strict";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

globalThis.localStorage = { getItem: () => null, setItem() {} };
const { eventsIn } = await import("../../../src/pages/parts/events.js");
const { fresh, goesOn, next, order, press, resume, valueOf } = await import("../../../src/pages/weigh/round.js");
const { merged, nextCollar, standing } = await import("../../../src/pages/night/record.js");
const { renamed } = await import("../../../src/pages/parts/names.js");
const { routeOf } = await import("../../../src/pages/parts/router.js");
const { localAt, momentOf, zone } = await import("../../../src/pages/parts/texts.js");
const { temperatureTyping, units, warmth, weight, weightTyping } = await import("../../../src/pages/parts/units.js");
const { differences } = await import("../../../src/pages/parts/differences.js");
const { recordOf, typedOf } = await import("../../../src/pages/parts/typed.js");
const { rowsOf } = await import("../../../src/pages/litter/steps.js");
const { between, months, shifted } = await import("../../../src/pages/year/days.js");
const { gained } = await import("../../../src/pages/parts/gain.js");
const { examOf, tapped, wrongIn } = await import("../../../src/pages/newborns/exam.js");
const { spansOf } = await import("../../../src/pages/newborns/spans.js");
const { bodyOf, reached } = await import("../../../src/pages/parts/api.js");

const pages = fileURLToPath(new URL("../../../src/pages/", import.meta.url));

function files(folder) {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    if (name === "vendor") return [];
    return statSync(path).isDirectory() ? files(path) : [path];
  });
}

/** All texts of a language: those of the start, and those that come with a page. */
async function textsOf(language) {
  const own = readdirSync(`${pages}texts/${language}`).map((name) => `texts/${language}/${name}`);
  const parts = await Promise.all([`texts/${language}.js`, ...own].map(async (file) => Object.entries((await import(pages + file)).default)));
  const all = parts.flat();
  assert.equal(new Set(all.map(([key]) => key)).size, all.length, "each key stands in one file");
  return Object.fromEntries(all);
}
const [en, de] = [await textsOf("en"), await textsOf("de")];

test("each language has each text, with the same values in it", () => {
  assert.deepEqual(Object.keys(de).sort(), Object.keys(en).sort());
  const values = (text) => [...text.matchAll(/\{(\w+)\}/g)].map((found) => found[1]).sort();
  for (const [key, text] of Object.entries(en)) {
    assert.notEqual(text.trim(), "", key);
    assert.deepEqual(values(de[key]), values(text), key);
  }
});

test("each text that a page asks for is there, and each that is there is asked for", () => {
  const code = files(pages).filter((file) => file.endsWith(".js") && !file.includes("/texts/"))
    .map((file) => readFileSync(file, "utf8")).join("\n");
  const asked = [...code.matchAll(/\bt\(\s*"([^"]+)"/g)].map((found) => found[1]);
  assert.ok(asked.length > 50);
  for (const key of asked) assert.ok(key in en, key);
  // Those with a value in their key, by how they begin.
  const begins = [...code.matchAll(/`([a-z_]+(?:\.[a-z_]+)*\.)\$\{/g)].map((found) => found[1]);
  for (const key of Object.keys(en)) {
    const plain = key.replace(/\.one$/, "");
    const used = code.includes(`"${plain}"`) || begins.some((begin) => plain.startsWith(begin))
      || code.includes(`"${plain.split(".")[0]}", "`);
    assert.ok(used, `${key} is of no use`);
  }
});

test("no file of the pages is over 300 lines", () => {
  for (const file of files(pages)) {
    assert.ok(readFileSync(file, "utf8").split("\n").length <= 301, file);
  }
});

test("what was gained tells in how long, unless that is the day before", () => {
  assert.equal(gained({ gain_g: 24, hours: 35.9 }), "+24\u00a0g");
  assert.equal(gained({ gain_g: -163, hours: 36 }), "−163\u00a0g in 2 days");
  assert.equal(gained({ gain_g: 0, hours: 72 }), "+0\u00a0g in 3 days");
});

test("the stream of changes is read event by event, however it is cut", () => {
  const text = "id: 7\nevent: change\ndata: {}\n\n: nothing new\n\nid: 8\r\ndata: {}\r\n\r\nid: 9\nda";
  for (let cut = 0; cut <= text.length; cut += 1) {
    const first = eventsIn(text.slice(0, cut));
    const second = eventsIn(first.rest + text.slice(cut));
    assert.deepEqual([...first.events, ...second.events], ["7", "8"], `cut at ${cut}`);
    assert.equal(second.rest, "id: 9\nda");
  }
});

test("the pad writes what is pressed", () => {
  const typed = (keys, digits) => [...keys].reduce((text, key) => press(text, key === "<" ? "back" : key, digits), "");
  assert.equal(typed("308", 0), "308");
  assert.equal(typed("3,08", 0), "308", "grams have no point");
  assert.equal(typed("37,25", 1), "37,2");
  assert.equal(typed(",5", 1), "5");
  assert.equal(typed("30<8", 0), "38");
  assert.equal(typed("012", 0), "12");
  assert.equal(valueOf("37,2"), 37.2);
  assert.ok(Number.isNaN(valueOf("")));
});

test("a round goes in the order of the collars, and round to those left out", () => {
  const pup = (dog_id, present = true) => ({ dog_id, label: dog_id, present });
  const born = (dog_id, collar, ordinal) => ({ dog_id, collar, ordinal });
  const births = [born("a", "white", 1), born("b", "Red", 2), born("c", null, 3), born("d", "lime", 4), born("e", "blue", 5)];
  const all = ["a", "b", "c", "d", "e"].map((dog) => pup(dog, dog !== "e"));
  assert.deepEqual(order(all, births, []).map((one) => one.dog), ["b", "a", "c", "d"]);
  const own = order(all, births, ["lime", "white"]);
  assert.deepEqual(own.map((one) => one.dog), ["d", "a", "b", "c"]);
  assert.equal(next(own, {}), "d");
  assert.equal(next(own, { a: {} }, "d"), "b");
  assert.equal(next(own, { b: {}, c: {}, d: {} }, "b"), "a");
  assert.equal(next(own, { a: {}, b: {}, c: {}, d: {} }), undefined);
});

test("a round is its day's, and past midnight goes on for an hour after its last figure", () => {
  const last = Date.parse("2026-05-17T23:50:00Z");
  const round = { ...fresh("2026-05-17", last), entered: { red: { value: 500, item: "1" } } };
  const hour = 60 * 60_000;
  assert.ok(goesOn(round, "2026-05-17", last + 23 * hour), "however late on its day");
  assert.ok(goesOn(round, "2026-05-18", last + hour - 1));
  assert.ok(!goesOn(round, "2026-05-18", last + hour));
  assert.ok(!goesOn(round, "2026-05-16", last - 1), "a clock that was put back begins anew");
  const item = localStorage.getItem;
  for (const [kept, entered] of [[round, 1], [{ day: "2026-05-17", round }, 0], [null, 0]]) {
    localStorage.getItem = () => JSON.stringify(kept);
    assert.equal(Object.keys(resume("l", "weight", "2026-05-18", last + 1).entered).length, entered);
  }
  localStorage.getItem = item;
});

test("weights and temperatures are typed and read in the kennel's units", () => {
  const plain = (text) => text.replaceAll("\u00a0", " ");
  // NIST Handbook 44, appendix C: a pound is 453.59237 g, an ounce 28.349523125 g; °F = °C × 1.8 + 32.
  for (const [unit, grams, read, typed, kept] of [
    ["g", 312, "312 g", 312, 312], ["kg", 4430, "4.430 kg", 4.43, 4430], ["lb_oz", 312, "11.0 oz", 11, 312],
    ["lb_oz", 454, "1 lb 0.0 oz", 16, 454], ["lb_oz", 581, "1 lb 4.5 oz", 20.5, 581], ["lb_oz", 452, "15.9 oz", 15.9, 451],
  ]) {
    units.value = { weight: unit, temperature: "c" };
    assert.deepEqual([plain(weight(grams)), weightTyping().typed(grams), weightTyping().kept(typed)], [read, typed, kept]);
  }
  for (const [unit, celsius, read, typed, kept] of [["c", 36.8, "36.8 °C", 36.8, 36.8], ["f", 36.8, "98.2 °F", 98.2, 36.78], ["f", 37.22, "99.0 °F", 99, 37.22]]) {
    units.value = { weight: "g", temperature: unit };
    assert.deepEqual([plain(warmth(celsius)), temperatureTyping().typed(celsius), temperatureTyping().kept(typed)], [read, typed, kept]);
  }
  units.value = { weight: "g", temperature: "c" };
});

test("what lies in the queue is laid over the night", () => {
  const birth = (id, born_at, more = {}) => ({ id, born_at, outcome: "alive", ...more });
  const row = (id, kind, record) => ({ id, state: "kept", row: { id, kind, subject_id: "L", record } });
  const births = [birth("b1", "2026-11-28T01:00:00Z", { sex: null })];
  const lines = [{ id: "w1", happened_at: "2026-11-28T00:30:00Z", event: { kind: "waters" } }];
  const items = [
    row("b2", "birth", birth("b2", "2026-11-28T02:00:00Z")),
    row("b1", "birth", birth("b1", "2026-11-28T01:00:00Z")),
    { ...row("b3", "birth", birth("b3", "2026-11-28T03:00:00Z")), state: "refused" },
    { id: "x", state: "kept", row: { id: "x", kind: "birth", subject_id: "other", record: birth("x", "2026-11-28T02:00:00Z") } },
    { id: "c", state: "kept", call: { method: "PATCH", path: "/litters/L/births/b1", body: { sex: "female" } } },
    { id: "d", state: "kept", call: { method: "DELETE", path: "/litters/L/whelping/w1" } },
  ];
  const log = merged("L", births, lines, items);
  assert.deepEqual(log.map((line) => [line.id, line.state]), [["b3", "refused"], ["b2", "kept"], ["b1", "kept"]]);
  assert.equal(log[2].record.sex, "female");
  const status = { pups_out: 1, stage: "first", still_to_come_at_least: 2, still_to_come_at_most: 4 };
  assert.deepEqual(standing(status, log), { out: 2, alive: 2, lastAt: Date.parse("2026-11-28T02:00:00Z"), atLeast: 1, atMost: 3, stage: "second" });
  assert.equal(standing({ ...status, still_to_come_at_most: 0, still_to_come_at_least: null }, log).atMost, 0);
});

test("what was written with names of before is sent with those of now, and what has those stays as it is", () => {
  const line = { id: "w", row: { id: "w", kind: "whelping_line", subject_id: "L", record: { at: "2026-11-28T00:30:00Z", event: { kind: "given", what: "glucose" } } } };
  assert.deepEqual(renamed(line).row.record, { happened_at: "2026-11-28T00:30:00Z", event: { kind: "given", remedy: "glucose" } });
  const call = (path, body) => ({ id: "c", at: 7, call: { method: "POST", path, ...(body ? { body } : {}) } });
  assert.deepEqual(renamed(call("/matings/m", { status: "done", ties: [{ at: "1" }, { happened_at: "2" }] })),
    call("/matings/m", { status: "done", ties: [{ happened_at: "1" }, { happened_at: "2" }] }));
  assert.deepEqual(renamed(call("/placements", { reserved_until: "2026-12-01", price_minor: null })),
    call("/placements", { reservation_ends_on: "2026-12-01", price_minor: null }));
  for (const [before, now] of [["/placements/p/follow-ups-done", "/placements/p/follow-ups"], ["/rule-overrides", "/rules/overrides"], ["/rule-overrides/o", "/rules/overrides/o"]]) {
    assert.deepEqual(renamed(call(before)), call(now));
    assert.deepEqual(renamed(call(now)), call(now));
  }
});

test("a collar is proposed once while births lie in the queue", () => {
  assert.equal(nextCollar("green", ["red", "blue"], []), "green");
  assert.equal(nextCollar("green", ["red", "blue", "green"], []), "yellow");
  assert.equal(nextCollar("lime", ["Lime"], ["lime", "sky"]), "sky");
  assert.equal(nextCollar("sky", ["sky"], ["lime", "sky"]), null);
  assert.equal(nextCollar(null, [], []), "red");
});

test("an address names a page and what it is about", () => {
  assert.deepEqual(routeOf(""), { page: "home", id: "", part: "" });
  assert.deepEqual(routeOf("#/"), { page: "home", id: "", part: "" });
  assert.deepEqual(routeOf("#/night/0193"), { page: "night", id: "0193", part: "" });
  assert.deepEqual(routeOf("#/litter/0193/0194"), { page: "litter", id: "0193", part: "0194" });
});

test("a moment is written by the kennel's clock and read back, also over a change of the clock", () => {
  zone.value = "Europe/Berlin";
  for (const [moment, local] of [["2026-07-01T10:05:00Z", "2026-07-01T12:05"], ["2026-12-01T23:30:00Z", "2026-12-02T00:30"],
    ["2026-03-29T00:59:00Z", "2026-03-29T01:59"], ["2026-03-29T01:01:00Z", "2026-03-29T03:01"]]) {
    assert.equal(localAt(Date.parse(moment)), local);
    assert.equal(new Date(momentOf(local)).toISOString(), moment.replace("Z", ".000Z"));
  }
  zone.value = undefined;
});

test("what is typed becomes a record, and a record what is typed", () => {
  const fields = [{ name: "price", kind: "money" }, { name: "weight", kind: "number" }, { name: "note" }, { name: "kept", kind: "check" }];
  const typed = { price: "1250,50", weight: " 3,4 ", note: " ", kept: true };
  assert.deepEqual(recordOf(fields, typed), { price: 125050, weight: 3.4, kept: true });
  assert.deepEqual(recordOf(fields, typed, true), { price: 125050, weight: 3.4, note: null, kept: true });
  assert.deepEqual(typedOf(fields, { price: 125050, weight: 3.4, note: null, kept: false }), { price: "1250.5", weight: "3.4", note: "", kept: false });
});

test("the health grid has each step once, with each pup's state", () => {
  const step = (name, occurrence, ideal_on) => ({ series: "s", step: name, occurrence, ideal_on });
  const rows = rowsOf(["a", "b"], [[step("later", 1, "2026-06-01"), step("first", 1, "2026-05-01")], [step("first", 1, "2026-05-02"), step("first", 2, null)]]);
  assert.deepEqual(rows.map((row) => [row.key, Object.keys(row.pups)]), [["s/first/1", ["a", "b"]], ["s/later/1", ["a"]], ["s/first/2", ["b"]]]);
});

test("days are counted over months, years and changes of the clock", () => {
  assert.equal(shifted("2026-12-30", 3), "2027-01-02");
  assert.equal(shifted("2026-03-30", -2), "2026-03-28");
  assert.equal(between("2026-03-28", "2026-03-30"), 2);
  assert.equal(between("2026-11-29", "2027-11-29"), 365);
  assert.deepEqual(months("2026-11-29", "2027-02-01"), ["2026-12-01", "2027-01-01", "2027-02-01"]);
});

test("the history tells what differs, and nothing of versions", () => {
  assert.deepEqual(differences({ id: "1", version: 1, name: "A", note: null, dam_id: "d" }, { id: "1", version: 2, name: "B", note: null, dam_id: "e" }),
    [{ name: "name", was: "A", is: "B" }]);
});

test("a line that breaks while an answer is read is a service not reached, to be tried again", async () => {
  const broken = new ReadableStream({
    start(line) {
      line.enqueue(new TextEncoder().encode('{"items": ['));
      line.error(new TypeError("Failed to fetch"));
    },
  });
  await assert.rejects(bodyOf(new Response(broken)), (trouble) => trouble.status === 0 && trouble.passes);
  assert.equal(reached.value, false);
  assert.deepEqual(await bodyOf(new Response('{"items": []}')), { items: [] });
});

test("taps on the places of a newborn say what is not as it should be, and what nobody looked at", () => {
  let found = {};
  assert.deepEqual([Object.keys(examOf(found)).length, new Set(Object.values(examOf(found)))], [11, new Set(["normal"])]);
  found = tapped(tapped(tapped(found, "palate"), "eyes"), "eyes");
  assert.equal(examOf(found).palate, "abnormal");
  assert.ok(!("eyes" in examOf(found)), "where nobody looked nothing is said");
  assert.equal(wrongIn(found), 1);
  // A third tap is as before.
  assert.equal(examOf(tapped(found, "eyes")).eyes, "normal");
  const document = JSON.parse(readFileSync(new URL("../../../openapi/denwright.json", import.meta.url), "utf8"));
  assert.deepEqual(Object.keys(examOf({})).sort(), Object.keys(document.components.schemas.NewbornExam.properties).sort());
});

test("days of an orphan that are alike stand in one line", () => {
  const day = (age_days, feeds_least) => ({ age_days, falls_on: `2026-05-${10 + age_days}`, feeds_least });
  const spans = spansOf([day(0, 8), day(1, 8), day(2, 6), day(3, 8)]);
  assert.deepEqual(spans.map(({ first, last }) => [first.age_days, last.age_days]), [[0, 1], [2, 2], [3, 3]]);
  assert.deepEqual(spansOf([]), []);
});
