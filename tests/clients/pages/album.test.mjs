// Pictures and papers: by age, and on their way by tus 1.0 (fake-indexeddb beneath; the service is a small one here that
// keeps to the protocol, and breaks off where a test says).
import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { openDB } from "idb";

globalThis.localStorage = { getItem: () => null, setItem() {} };
const { ageOn, byAge } = await import("../../../src/pages/album/ages.js");
const { FilesOut, PIECE } = await import("../../../src/pages/album/files-out.js");

test("age is told in whole days, and only where both days are known", () => {
  assert.equal(ageOn("2026-03-28", "2026-03-28"), 0);
  assert.equal(ageOn("2026-03-28", "2026-03-30"), 2, "over the change of the clock");
  assert.equal(ageOn("2026-03-28", "2026-03-27"), -1);
  for (const [born, day] of [["2026-03", "2026-03-28"], [null, "2026-03-28"], ["2026-03-28", null]]) assert.equal(ageOn(born, day), undefined);
});

test("pictures stand by age from before the birth to now, and those without a day at the end", () => {
  const born = "2026-01-01";
  const day = (days) => new Date(Date.parse(born) + days * 86_400_000).toISOString().slice(0, 10);
  const at = { before: -1, birth: 0, first: 1, week1: 6, week2: 7, week16: 111, month4: 112, month24: 730, year3: 731 };
  const items = Object.entries(at).map(([id, days]) => ({ id, taken_on: day(days) }));
  const groups = byAge([{ id: "undated", taken_on: null }, ...items.reverse()], born);
  assert.deepEqual(groups.map(({ key, count, items }) => [key.replace("album.", ""), count, items.map((one) => one.id).join()]), [
    ["before", 0, "before"], ["birth", 0, "birth"], ["week", 1, "first,week1"], ["week", 2, "week2"], ["week", 16, "week16"],
    ["month", 4, "month4"], ["month", 24, "month24"], ["year_of_life", 3, "year3"], ["no_day", 0, "undated"],
  ]);
  const unknown = byAge([{ id: "b", taken_on: "2025-03-01" }, { id: "a", taken_on: "2024-03-01" }], "2023");
  assert.deepEqual(unknown.map(({ key, count }) => [key, count]), [["album.year", 2024], ["album.year", 2025]]);
});

class Refused extends Error {
  constructor(status, detail, errors = []) {
    super(detail);
    Object.assign(this, { status, errors, passes: status === 0 || status >= 500 });
  }
}

/** The service as far as it is asked: uploads, and what they became. */
const far = {};
beforeEach(() => Object.assign(far, { uploads: new Map(), rows: new Map(), keys: new Map(), asked: [], breaks: [], refuses: () => undefined, person: "maren" }));

async function ask(path, { method = "GET", headers = {}, body, file } = {}) {
  const kind = path.split("/")[4];
  far.asked.push(`${method} ${kind}`);
  const broken = far.breaks.findIndex((one) => `${method} ${kind}` === one.at && !(one.after-- > 0));
  const how = broken < 0 ? undefined : far.breaks.splice(broken, 1)[0];
  if (how?.before) throw new Refused(0, "no network");
  const refused = far.refuses(`${method} ${kind}`);
  if (refused) throw refused;
  const answer = await told(path, method, kind, headers, body, file, how);
  if (how) throw new Refused(0, "no network");
  return answer;
}

async function told(path, method, kind, headers, body, file, how) {
  if (kind === "attachments") {
    const key = headers["Idempotency-Key"];
    if (far.keys.has(key)) return Response.json({});
    if (!far.uploads.get(body.upload_id)?.whole) throw new Refused(422, "", [{ pointer: "/upload_id", detail: "no such upload" }]);
    far.rows.set(key, { ...body, bytes: far.uploads.get(body.upload_id).bytes });
    far.keys.set(key, true);
    far.uploads.delete(body.upload_id);
    return Response.json({});
  }
  if (method === "POST") {
    assert.equal(headers["Tus-Resumable"], "1.0.0");
    const id = `upload-${far.uploads.size + far.rows.size + far.asked.length}`;
    const type = /^filetype (.+)$/.exec(headers["Upload-Metadata"] ?? "")?.[1];
    far.uploads.set(id, { length: Number(headers["Upload-Length"]), type: type && atob(type), bytes: Buffer.alloc(0), whole: false });
    return Response.json({ id });
  }
  const upload = far.uploads.get(path.split("/")[5]);
  if (!upload) throw new Refused(404, "There is no such upload.");
  if (method === "GET") return Response.json({ offset: upload.bytes.length });
  assert.equal(file.type, "application/offset+octet-stream");
  if (Number(headers["Upload-Offset"]) !== upload.bytes.length) throw new Refused(409, "Another piece came there.");
  const piece = Buffer.from(await file.arrayBuffer());
  // A line that breaks has brought a part of the piece.
  upload.bytes = Buffer.concat([upload.bytes, how ? piece.subarray(0, piece.length / 2) : piece]);
  upload.whole = upload.bytes.length === upload.length;
  return new Response(null, { status: 204, headers: { "Upload-Offset": String(upload.bytes.length) } });
}

let name = 0;
function phone(database) {
  name += 1;
  const opened = database ?? openDB(`files-${name}`, 1, {
    upgrade(db) {
      db.createObjectStore("files", { keyPath: "id" }).createIndex("person", "person");
      db.createObjectStore("bytes");
    },
  });
  const sent = [];
  const out = new FilesOut({ database: () => opened, person: () => far.person, ask, alone: (_, run) => run(), sent: () => sent.push(1), now: Date.now });
  return { out, opened, sent };
}

const bytes = (size) => Buffer.from(Array.from({ length: size }, (_, place) => place % 251));
const photo = (size, type = "image/jpeg") => new File([bytes(size)], "pup.jpg", { type });
const OF_PUP = () => ({ dog_id: "pup", kind: "photo" });

async function settled(out, state = (items) => items.length === 0) {
  for (const end = Date.now() + 5_000; !state(out.items.peek());) {
    assert.ok(Date.now() < end, JSON.stringify(out.items.peek()));
    await new Promise((done) => setTimeout(done, 5));
  }
  out.stop();
}

test("a file goes in pieces, becomes what it is of, and is gone from the phone", async () => {
  const { out, opened, sent } = phone();
  const seen = new Set();
  out.items.subscribe((items) => items.forEach((one) => seen.add(one.offset)));
  await out.add("k", [photo(2 * PIECE + 7)], OF_PUP);
  await settled(out, () => sent.length > 0);
  const [row] = far.rows.values();
  assert.deepEqual([row.dog_id, row.kind, row.bytes.equals(bytes(2 * PIECE + 7))], ["pup", "photo", true]);
  assert.equal(far.asked.filter((one) => one === "PATCH uploads").length, 3);
  assert.deepEqual([...seen], [0, PIECE, 2 * PIECE, 2 * PIECE + 7], "how far it is was told");
  assert.deepEqual([sent.length, await (await opened).count("files"), await (await opened).count("bytes")], [1, 0, 0]);
});

test("its type is told as the device has it, and left out where it knows none", async () => {
  const { out } = phone();
  far.refuses = (at) => (at === "PATCH uploads" ? new Refused(0, "") : undefined);
  await out.add("k", [photo(5)], OF_PUP);
  await settled(out, () => far.asked.includes("PATCH uploads"));
  assert.deepEqual([...far.uploads.values()].map((one) => one.type), ["image/jpeg"]);
  const other = phone().out;
  far.asked = [];
  await other.add("k", [photo(5, "")], OF_PUP);
  await settled(other, () => far.asked.includes("PATCH uploads"));
  assert.deepEqual([...far.uploads.values()].map((one) => one.type), ["image/jpeg", undefined]);
});

for (const [what, breaks] of [
  ["the answer to its announcement", { at: "POST uploads" }], ["a piece", { at: "PATCH uploads", after: 1 }],
  ["a piece before it began", { at: "PATCH uploads", after: 1, before: true }], ["the answer to what it became", { at: "POST attachments" }],
]) {
  test(`a line that breaks at ${what} is gone on with, and nothing is there twice`, async () => {
    const { out } = phone();
    far.breaks.push({ ...breaks });
    await out.add("k", [photo(3 * PIECE)], OF_PUP);
    await settled(out);
    assert.equal(far.breaks.length, 0, "it broke");
    assert.deepEqual([...far.rows.values()].map((row) => row.bytes.equals(bytes(3 * PIECE))), [true]);
    const sentTwice = far.asked.filter((one) => one === "PATCH uploads").length - 3;
    assert.ok(sentTwice <= 1, "what had arrived was not sent again");
  });
}

test("a page that was left is gone on with by the next one, from where it was", async () => {
  const one = phone();
  far.breaks.push({ at: "PATCH uploads", after: 2, before: true });
  await one.out.add("k", [photo(3 * PIECE)], OF_PUP);
  await settled(one.out, () => far.breaks.length === 0);
  far.asked = [];
  const { out } = phone(one.opened);
  await out.drain();
  assert.equal(out.items.peek().length, 0);
  assert.deepEqual(far.asked, ["GET uploads", "PATCH uploads", "POST attachments"]);
  assert.equal(far.rows.size, 1);
});

test("what had become something before the page was left is not sent once more", async () => {
  const one = phone();
  far.breaks.push({ at: "POST attachments" });
  await one.out.add("k", [photo(9)], OF_PUP);
  await settled(one.out, () => far.rows.size === 1 && far.breaks.length === 0);
  far.asked = [];
  const { out } = phone(one.opened);
  await out.drain();
  assert.deepEqual([out.items.peek(), far.asked, far.rows.size], [[], ["POST attachments"], 1]);
});

test("an upload that the service gave up is announced anew", async () => {
  const one = phone();
  far.breaks.push({ at: "PATCH uploads", after: 1, before: true });
  await one.out.add("k", [photo(2 * PIECE)], OF_PUP);
  await settled(one.out, () => far.breaks.length === 0);
  far.uploads.clear();
  const { out } = phone(one.opened);
  await out.drain();
  assert.deepEqual([out.items.peek(), [...far.rows.values()].map((row) => row.bytes.length)], [[], [2 * PIECE]]);
});

test("a piece that another brought meanwhile is not sent again", async () => {
  const one = phone();
  let once = true;
  far.refuses = (at) => {
    if (at !== "PATCH uploads" || !once) return undefined;
    once = false;
    const [upload] = far.uploads.values();
    upload.bytes = bytes(PIECE);
    return undefined;
  };
  await one.out.add("k", [photo(2 * PIECE)], OF_PUP);
  await settled(one.out);
  assert.deepEqual([...far.rows.values()].map((row) => row.bytes.equals(bytes(PIECE)) || row.bytes.length), [2 * PIECE]);
  assert.equal(far.asked.filter((at) => at === "POST uploads").length, 1);
});

test("what is refused says why, stays until it is dropped, and holds nothing up", async () => {
  const { out, opened } = phone();
  const WORDS = "A GIF is not taken: send it as JPEG, PNG or WebP.";
  far.refuses = (at) => (at === "PATCH uploads" && [...far.uploads.values()].some((one) => one.length === 3) && !far.rows.size ? new Refused(422, "Refused.", [{ pointer: "", detail: WORDS }]) : undefined);
  await out.add("k", [photo(3, "image/gif")], OF_PUP);
  await settled(out, ([one]) => one?.state === "refused");
  assert.deepEqual(out.items.peek()[0].why.map((fault) => fault.detail), [WORDS]);
  far.refuses = () => undefined;
  const next = phone(opened).out;
  await next.load();
  await next.add("k", [photo(4)], OF_PUP);
  await settled(next, (items) => items.length === 1);
  assert.equal(far.rows.size, 1, "the other one was taken");
  await next.drop(next.items.peek()[0].id);
  assert.deepEqual([next.items.peek(), await (await opened).count("files"), await (await opened).count("bytes")], [[], 0, 0]);
});

test("a conflict that lasts is refused in its words, and not tried for ever", async () => {
  const { out } = phone();
  far.refuses = (at) => (at === "PATCH uploads" ? new Refused(409, "The kennel's files take all their room.") : undefined);
  await out.add("k", [photo(9)], OF_PUP);
  await settled(out, ([one]) => one?.state === "refused");
  assert.deepEqual(out.items.peek()[0].why, [{ pointer: "", detail: "The kennel's files take all their room." }]);
  assert.equal(far.asked.filter((at) => at === "PATCH uploads").length, 2);
});

test("another person's files are neither shown nor sent", async () => {
  const one = phone();
  far.refuses = () => new Refused(0, "no network");
  await one.out.add("k", [photo(9)], OF_PUP);
  await settled(one.out, () => far.asked.length > 0);
  Object.assign(far, { person: "tobias", refuses: () => undefined, asked: [] });
  const { out } = phone(one.opened);
  await out.drain();
  assert.deepEqual([out.items.peek(), far.asked], [[], []]);
  far.person = "maren";
  await out.drain();
  assert.equal(far.rows.size, 1);
});

test("a phone without room says so, and keeps half of nothing", async () => {
  const { out, opened } = phone();
  const db = await opened;
  const transaction = db.transaction.bind(db);
  const full = new Proxy(db, { get: (of, name) => (name === "transaction" ? (...given) => {
    const work = transaction(...given);
    work.done.catch(() => {});
    work.abort();
    return work;
  } : typeof of[name] === "function" ? of[name].bind(of) : of[name]) });
  out.needs.database = async () => full;
  await assert.rejects(out.add("k", [photo(9)], OF_PUP));
  assert.deepEqual([out.items.peek(), await db.count("files"), far.asked], [[], 0, []]);
});
