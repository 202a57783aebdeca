// What pages show is asked for by the tag of the answer that is here: an unchanged one moves its time alone, one
// kept on the phone counts too, and nobody is shown, or asks by, what another was told.
import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { after, beforeEach, test } from "node:test";

globalThis.localStorage = { getItem: () => null, setItem() {}, removeItem() {} };
let reloads = 0;
globalThis.location = { reload() { reloads += 1; } };
Object.defineProperty(globalThis, "navigator", { configurable: true, value: { locks: { request: (_, run) => run() } } });
const { session, signIn, signOut } = await import("../../../src/pages/parts/api.js");
const { lastAnswer } = await import("../../../src/pages/parts/cache.js");
const { heard } = await import("../../../src/pages/parts/clock.js");
const { entry, forgetAll, readAgain, watch } = await import("../../../src/pages/parts/read.js");
session.subscribe(({ state }) => state === "out" && forgetAll());

/** The service: whose cookie the browser has, and what stands at a path for each person. */
const far = { cookie: "maren", rows: {}, asked: [], reached: true, before: undefined };
const tokenOf = (person) => `x.${btoa(JSON.stringify({ sub: person }))}.x`;
globalThis.fetch = async (path, { headers, cache, signal }) => {
  if (!far.reached) throw new TypeError("no network");
  if (far.dead) return new Promise((_, fail) => { signal.addEventListener("abort", () => fail(signal.reason)); });
  if (path.startsWith("/v1/auth/page-session")) return Response.json({ access_token: tokenOf(far.cookie), expires_in: 900 });
  const person = JSON.parse(atob(headers.Authorization.split(".")[1])).sub;
  if (path === "/v1/me") return Response.json({ person: { id: person }, kennels: [] });
  await far.before?.();
  const { tag, body, status = 200 } = far.rows[person];
  const known = headers["If-None-Match"];
  far.asked.push({ person, known, cache });
  if (status !== 200) return Response.json({ detail: "no" }, { status });
  if (tag && known === tag) return new Response(null, { status: 304, headers: { ETag: tag } });
  return Response.json(body, { headers: tag ? { ETag: tag } : {} });
};

let paths = 0;
let over = () => {};
/** A page that shows an answer, once it has been read; a read under way is followed by another. */
async function page(path = `/v1/row/${paths += 1}`) {
  const one = entry(path);
  const settled = async () => { while (one.busy) await one.busy; };
  over = watch(one, () => {});
  await settled();
  return { path, shown: () => one.shown.peek(), close: over, read: async () => { await readAgain(); await settled(); } };
}
// One that is watched is asked for again and again while the service is away.
after(() => over());
beforeEach(async () => {
  over();
  if (session.peek().state === "in") await signOut();
  Object.assign(far, { cookie: "maren", asked: [], reached: true, before: undefined,
    rows: { maren: { tag: '"1-a"', body: { name: "A" } }, tobias: { tag: '"1-a"', body: { name: "T" } } } });
  await signIn({ email: "", password: "" });
});

test("an unchanged answer moves its time alone, and a changed one is taken", async () => {
  const one = await page();
  const { data, at } = one.shown();
  assert.deepEqual(data, { name: "A" });
  // The service's clock goes on by an hour.
  heard(new Date(Date.now() + 3_600_000).toUTCString(), Date.now(), Date.now());
  far.asked = [];
  await one.read();
  assert.deepEqual(far.asked, [{ person: "maren", known: '"1-a"', cache: "no-store" }]);
  assert.equal(one.shown().data, data, "the same, not another copy");
  assert.equal(one.shown().state, "ready");
  const moved = one.shown().at - at;
  assert.ok(moved > 3_590_000 && moved < 3_610_000, `moved by ${moved} ms`);
  const kept = await lastAnswer("maren", one.path);
  assert.deepEqual([kept.data, kept.at, kept.tag], [data, one.shown().at, '"1-a"']);
  far.rows.maren = { tag: '"2-b"', body: { name: "B" } };
  await one.read();
  assert.deepEqual([one.shown().data, one.shown().tag], [{ name: "B" }, '"2-b"']);
});

test("an answer kept on the phone is asked for by its tag when the pages open again", async () => {
  const before = await page();
  before.close();
  forgetAll();
  far.asked = [];
  const after = await page(before.path);
  assert.equal(far.asked[0].known, '"1-a"');
  assert.deepEqual(after.shown().data, { name: "A" });
});

test("an answer without a tag is asked for without one", async () => {
  far.rows.maren = { body: { name: "A" } };
  const one = await page();
  await one.read();
  assert.deepEqual(far.asked.map(({ known }) => known), [undefined, undefined]);
});

test("the tag outlives a time without the service, and goes with an answer that is not for one any more", async () => {
  const one = await page();
  far.reached = false;
  await one.read();
  assert.deepEqual([one.shown().state, one.shown().data], ["offline", { name: "A" }]);
  far.reached = true;
  far.asked = [];
  await one.read();
  assert.deepEqual(far.asked.map(({ known }) => known), ['"1-a"']);
  far.rows.maren.status = 404;
  await one.read();
  assert.deepEqual([one.shown().state, one.shown().data], ["gone", undefined]);
  far.rows.maren.status = 200;
  far.asked = [];
  await one.read();
  assert.deepEqual(far.asked.map(({ known }) => known), [undefined]);
  assert.deepEqual(one.shown().data, { name: "A" });
});

test("whoever signs in next asks without the tag of who was here, and gets an answer of their own", async () => {
  const one = await page();
  await signOut();
  assert.equal(one.shown().data, undefined);
  far.cookie = "tobias";
  far.asked = [];
  await signIn({ email: "", password: "" });
  await one.read();
  assert.deepEqual(far.asked.map(({ person, known }) => [person, known]), [["tobias", undefined]]);
  assert.deepEqual(one.shown().data, { name: "T" });
});

test("an answer that comes after its person has gone is neither shown nor kept", async () => {
  far.before = signOut;
  const one = await page();
  assert.equal(one.shown().data, undefined);
  assert.equal(await lastAnswer("maren", one.path), undefined);
});

test("where another has signed in in another tab, nothing is asked for in their name", async () => {
  const one = await page();
  far.cookie = "tobias";
  // The token here is no good any more; the cookie is the other's by now.
  far.rows.maren.status = 401;
  far.asked = [];
  const before = reloads;
  await one.read();
  await one.read();
  assert.ok(reloads > before, "the page is read anew, as theirs");
  assert.ok(far.asked.every(({ person }) => person === "maren"));
  assert.deepEqual(one.shown().data, { name: "A" });
  assert.deepEqual((await lastAnswer("maren", one.path)).data, { name: "A" });
});

test("a line that died without a word is a service not reached after half a minute, and is asked anew", async (t) => {
  const one = await page();
  const limits = [];
  t.mock.method(AbortSignal, "timeout", (ms) => {
    const limit = new AbortController();
    limits.push({ ms, end: () => limit.abort(new DOMException("", "TimeoutError")) });
    return limit.signal;
  });
  far.dead = true;
  const read = one.read();
  while (limits.length === 0) await new Promise((done) => setImmediate(done));
  assert.deepEqual([limits[0].ms, one.shown().state], [30_000, "ready"]);
  far.dead = false;
  limits[0].end();
  await read;
  assert.deepEqual([one.shown().state, one.shown().data], ["offline", { name: "A" }]);
  await one.read();
  assert.equal(one.shown().state, "ready");
});
