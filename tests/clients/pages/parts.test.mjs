// Parts of the pages that need no browser: texts, the number pad, a round, the night's log, the stream.
import assert from "node:assert/strict";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

globalThis.localStorage = { getItem: () => null, setItem() {} };
const { eventsIn } = await import("../../../src/pages/parts/events.js");
const { next, order, press, valueOf } = await import("../../../src/pages/weigh/round.js");
const { merged, nextCollar, standing } = await import("../../../src/pages/night/record.js");
const { routeOf } = await import("../../../src/pages/parts/router.js");
const { localAt, momentOf, zone } = await import("../../../src/pages/parts/texts.js");
const { differences } = await import("../../../src/pages/parts/differences.js");
const { recordOf, typedOf } = await import("../../../src/pages/parts/typed.js");
const { rowsOf } = await import("../../../src/pages/litter/steps.js");
const { between, months, shifted } = await import("../../../src/pages/year/days.js");
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

test("what lies in the queue is laid over the night", () => {
  const birth = (id, born_at, more = {}) => ({ id, born_at, outcome: "alive", ...more });
  const row = (id, kind, record) => ({ id, state: "kept", row: { id, kind, subject_id: "L", record } });
  const births = [birth("b1", "2026-11-28T01:00:00Z", { sex: null })];
  const lines = [{ id: "w1", at: "2026-11-28T00:30:00Z", event: { kind: "waters" } }];
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

test("a collar is proposed once while births lie in the queue", () => {
  assert.equal(nextCollar("green", ["red", "blue"], []), "green");
  assert.equal(nextCollar("green", ["red", "blue", "green"], []), "yellow");
  assert.equal(nextCollar("lime", ["Lime"], ["lime", "sky"]), "sky");
  assert.equal(nextCollar("sky", ["sky"], ["lime", "sky"]), null);
  assert.equal(nextCollar(null, [], []), "red");
});

test("an address names a page and what it is about", () => {
  assert.deepEqual(routeOf(""), { page: "home", id: "" });
  assert.deepEqual(routeOf("#/"), { page: "home", id: "" });
  assert.deepEqual(routeOf("#/night/0193"), { page: "night", id: "0193" });
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
