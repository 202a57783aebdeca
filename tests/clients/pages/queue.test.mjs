// The queue by itself, on an IndexedDB of its own: nothing kept is lost or sent twice, a refusal is told, and
// nobody sends what another wrote.
import "fake-indexeddb/auto";
import assert from "node:assert/strict";
import { after, test } from "node:test";
import { Queue, isQuestion } from "../../../src/pages/parts/queue.js";
import { newId } from "../../../src/pages/parts/uuid.js";
import { openDB } from "idb";

const KENNEL = "0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4";
let names = 0;

function trouble(status, detail = "no", more = {}) {
  const passes = status === 0 || status === 401 || status === 429 || status >= 500;
  return Object.assign(new Error(detail), { status, passes, errors: [], wait: 0, ...more });
}

/** A phone: its database, and queues (tabs) on it. */
function phone() {
  const name = `phone-${names += 1}`;
  let opened;
  const database = () => (opened ??= openDB(name, 1, {
    upgrade(db) { db.createObjectStore("queue", { keyPath: "id" }).createIndex("person", "person"); },
  }));
  let turn = Promise.resolve();
  const alone = (_, run) => { const mine = turn.then(run); turn = mine.catch(() => {}); return mine; };
  const tab = (service, person = "maren") => {
    const queue = new Queue({ database, alone, ask: service.ask, person: () => service.person ?? person, sent() {}, now: () => Date.now() });
    queue.channel?.close();
    queue.channel = undefined;
    // One whose service is away would try for ever, and the run would never end.
    after(() => queue.stop());
    return queue;
  };
  const lies = async () => (await database()).getAll("queue");
  return { tab, lies };
}

/** A service that takes rows as the real one does. */
function service() {
  const stored = new Map();
  const asked = [];
  const one = {
    stored, asked, reached: true, before: undefined, after: undefined, refuse: () => undefined,
    async ask(path, { method = "GET", body, headers = {} }) {
      asked.push({ path, method, body, headers });
      if (!one.reached) throw trouble(0);
      await one.before?.();
      if (!path.endsWith("/batch")) {
        await one.single?.({ path, method, body, headers });
        return new Response("{}", { headers: { ETag: '"7"' } });
      }
      const items = body.items.map((row, index) => {
        const errors = one.refuse(row, index);
        if (errors) return { index, id: row.id, status: "refused", errors };
        const status = stored.has(row.id) ? "already_there" : "stored";
        if (status === "stored") stored.set(row.id, row);
        return { index, id: row.id, status, errors: [] };
      });
      await one.after?.();
      return Response.json({ items });
    },
  };
  return one;
}

const weight = (grams) => ({ kennel: KENNEL, says: "weigh.weight", row: { kind: "weight", subject_id: "pup", record: { weight_g: grams } } });

/** Waits until something holds, and no longer than it may take. */
async function until(holds) {
  for (const end = Date.now() + 5000; !(await holds()); await new Promise((done) => setTimeout(done, 5))) {
    assert.ok(Date.now() < end, `in time: ${holds}`);
  }
}

test("what is written is shown at once, lies on the phone, and goes as one batch with its time", async () => {
  const far = service();
  far.reached = false;
  const { tab, lies } = phone();
  const queue = tab(far);
  queue.add(weight(301));
  queue.add(weight(302));
  assert.equal(queue.items.value.length, 2, "before anything was awaited");
  await queue.settled();
  assert.equal((await lies()).length, 2);
  await queue.drain();
  assert.ok(queue.items.value.every((item) => item.state === "kept"));
  far.reached = true;
  far.asked.length = 0;
  await queue.drain();
  assert.equal(far.stored.size, 2);
  assert.equal((await lies()).length, 0);
  assert.equal(far.asked.length, 1);
  assert.ok(Math.abs(Date.parse(far.asked[0].body.sent_at) - Date.now()) < 5000);
  assert.deepEqual(far.asked[0].body.items.map((row) => row.record.weight_g), [301, 302], "in the order of writing");
});

test("a page that was closed finds its queue again", async () => {
  const far = service();
  far.reached = false;
  const { tab } = phone();
  const first = tab(far);
  const item = first.add(weight(300));
  await first.settled();
  await first.drain();
  const second = tab(far);
  await second.load();
  assert.deepEqual(second.items.value.map((one) => one.id), [item.id]);
  far.reached = true;
  await second.drain();
  assert.deepEqual([...far.stored.keys()], [item.id]);
});

test("an answer that was lost on the way: sent again under the same id, stored once", async () => {
  const far = service();
  let lost = true;
  far.after = () => { if (lost) { lost = false; throw trouble(0); } };
  const { tab, lies } = phone();
  const queue = tab(far);
  queue.add(weight(300));
  await until(() => far.asked.length === 1);
  await queue.drain();
  await queue.drain();
  assert.equal(far.stored.size, 1);
  await until(async () => (await lies()).length === 0);
});

test("two tabs take turns: each row is sent once", async () => {
  const far = service();
  far.reached = false;
  const { tab } = phone();
  const one = tab(far);
  const other = tab(far);
  for (let count = 0; count < 5; count += 1) one.add(weight(300 + count));
  await one.settled();
  await one.drain();
  await other.load();
  far.reached = true;
  far.asked.length = 0;
  await Promise.all([one.drain(), other.drain()]);
  assert.deepEqual(far.asked.map((asked) => asked.body.items.length), [5]);
  assert.equal(other.items.value.length, 0);
});

test("a refused row stays with its reason, and holds nothing else up; mended, it goes", async () => {
  const far = service();
  far.refuse = (row, index) => (row.record.weight_g === 3000 && !row.record.confirmed
    ? [{ pointer: `/items/${index}/record/weight_g`, detail: 'far off. To keep it as it is, send it with "confirmed": true.' }] : undefined);
  const { tab, lies } = phone();
  const queue = tab(far);
  const slip = queue.add(weight(3000));
  queue.add(weight(310));
  await until(() => queue.items.value.length === 1 && queue.items.value[0].state === "refused");
  assert.equal(far.stored.size, 1);
  const [refused] = queue.items.value;
  assert.equal(refused.why[0].pointer, "/record/weight_g");
  assert.ok(isQuestion(refused));
  assert.equal((await lies())[0].state, "refused", "also after the page is closed");
  assert.ok(queue.mend(slip.id, { confirmed: true }));
  await until(() => far.stored.size === 2);
  await until(async () => (await lies()).length === 0);
});

test("what was not sent is taken back; what may have arrived is not", async () => {
  const far = service();
  far.reached = false;
  const { tab, lies } = phone();
  const queue = tab(far);
  const item = queue.add(weight(300));
  assert.ok(queue.takeBack(item.id), "before it was tried");
  await queue.settled();
  await until(async () => (await lies()).length === 0);
  const other = queue.add(weight(301));
  await until(() => far.asked.length > 0);
  await queue.drain();
  assert.equal(queue.takeBack(other.id), false);
  assert.equal(queue.mend(other.id, { weight_g: 1 }), false);
});

test("a call goes once under one key, a change with the version that is there", async () => {
  const far = service();
  const { tab } = phone();
  const queue = tab(far);
  const seen = queue.add({ kennel: KENNEL, says: "queue.seen", call: { method: "POST", path: "/alarms/a/seen", body: {} } });
  queue.add({ kennel: KENNEL, says: "queue.correct", call: { method: "PATCH", path: "/dogs/d/weights/w", seen: true, body: { weight_g: 1 } } });
  await until(() => queue.items.value.length === 0);
  assert.deepEqual(far.asked.map(({ method, headers }) => [method, headers]), [
    ["POST", { "Idempotency-Key": seen.id }], ["GET", {}], ["PATCH", { "If-Match": '"7"' }],
  ]);
});

test("removing what is gone is done; changing it is refused", async () => {
  const far = service();
  far.single = () => { throw trouble(404, "There is nothing at this address."); };
  const { tab } = phone();
  const queue = tab(far);
  queue.add({ kennel: KENNEL, says: "queue.undo", call: { method: "DELETE", path: "/x", seen: true } });
  queue.add({ kennel: KENNEL, says: "queue.correct", call: { method: "PATCH", path: "/x", seen: true, body: {} } });
  await until(() => queue.items.value.length === 1 && queue.items.value[0].state === "refused");
  assert.equal(queue.items.value[0].call.method, "PATCH");
});

test("another person neither sees nor sends it; it waits for whose it is", async () => {
  const far = service();
  far.reached = false;
  const { tab } = phone();
  const hers = tab(far, "maren");
  hers.add(weight(300));
  await hers.settled();
  await hers.drain();
  hers.needs.person = () => undefined; // signed out
  await hers.drain();
  far.reached = true;
  const his = tab(far, "jonas");
  await his.drain();
  assert.equal(his.items.value.length, 0);
  assert.equal(far.stored.size, 0);
  await tab(far, "maren").drain();
  assert.equal(far.stored.size, 1);
});

test("ids sort by their time and are UUIDs of version 7", () => {
  const ids = [newId(1), newId(2), newId(Date.now()), newId(Date.now() + 1)];
  assert.deepEqual([...ids].sort(), ids);
  for (const id of ids) assert.match(id, /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});

test("what is taken back after it may have arrived, and was refused, is asked about no more", async () => {
  const far = service();
  far.refuse = () => [{ pointer: "/items/0/record/weight_g", detail: 'Much. To keep it as it is, send it with "confirmed": true.' }];
  far.single = ({ method }) => { if (method === "GET") throw trouble(404); };
  let away = true;
  far.before = () => { if (away) throw trouble(0); };
  const { tab, lies } = phone();
  const queue = tab(far);
  const item = queue.add(weight(9999));
  await queue.drain();
  await queue.drain();
  assert.equal(queue.takeBack(item.id), false, "it may have arrived");
  queue.add({ kennel: KENNEL, says: "queue.undo", call: { method: "DELETE", path: `/dogs/pup/weights/${item.id}`, seen: true } });
  away = false;
  await queue.drain();
  await until(async () => (await lies()).length === 0);
  assert.deepEqual(queue.items.value, []);
});

test("a request that was refused is mended and sent as another one", async () => {
  const far = service();
  far.single = ({ method, body }) => { if (method === "POST" && body.price_minor > 1000) throw trouble(422, "too much", { errors: [{ pointer: "/price_minor", detail: "too much" }] }); };
  const { tab, lies } = phone();
  const queue = tab(far);
  const item = queue.add({ kennel: KENNEL, says: "says.placement", call: { method: "POST", path: "/placements", body: { price_minor: 1001, kind: "sale" } } });
  await until(() => queue.items.value[0]?.state === "refused");
  assert.equal(queue.mend(item.id, { price_minor: 1000 }), true);
  await until(async () => (await lies()).length === 0);
  const [first, second] = far.asked.filter((one) => one.method === "POST");
  assert.deepEqual(second.body, { price_minor: 1000, kind: "sale" });
  assert.notEqual(first.headers["Idempotency-Key"], second.headers["Idempotency-Key"]);
});
