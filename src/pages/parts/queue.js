// What a person writes: kept on the phone first, under its own id and with the phone's time, then sent. A row
// is sent in a batch (`observations/batch`, with `sent_at`); what no batch carries goes singly, with an
// Idempotency-Key. Sent is what the service says it has; refused stays here with the reason, to be mended or
// dropped. Only the queue of who is signed in is sent. Two tabs take turns (a Web Lock).
//
// `Queue` knows nothing of pages: what it needs is handed to it, so that its tests run without a browser
// (tests/clients/pages/queue.test.mjs). `queue` below is the one of the pages.
import { signal } from "./html.js";
import { renamed } from "./names.js";
import { Turns } from "./turns.js";
import { newId } from "./uuid.js";

/** @typedef {{ pointer: string, detail: string }} Fault */
/** @typedef {{ id: string, kind: string, subject_id: string, record: Record<string, any> }} Row */
/**
 * A request of its own. With `seen` it changes or removes what is there as it is then: the version is asked first.
 * `key` is its Idempotency-Key, where that is not the item's id.
 * @typedef {{ method: string, path: string, body?: any, seen?: boolean, key?: string }} Call
 */
/**
 * @typedef {object} Item
 * @property {string} id UUID version 7: the order of writing
 * @property {string} person whose it is
 * @property {string} kennel
 * @property {number} at the phone's time
 * @property {"kept" | "refused"} state
 * @property {boolean} tried whether it may have arrived already
 * @property {Fault[]} why
 * @property {string} says key of the text that names it, such as `queue.birth`
 * @property {Row} [row]
 * @property {Call} [call]
 */
/**
 * @typedef {object} Needs
 * @property {() => Promise<any>} database
 * @property {() => string | undefined} person who is signed in
 * @property {(path: string, asked: { method?: string, body?: any, headers?: Record<string, string> }) => Promise<Response>} ask
 * @property {(name: string, run: () => Promise<void>) => Promise<void>} alone runs it while no other tab does
 * @property {() => void} sent told when the service has something new
 * @property {() => number} now
 */

/** Rows that go together. */
const TOGETHER = 200;

export class Queue {
  /** All items of who is signed in, in the order of writing. @type {import("../vendor/signals.js").Signal<Item[]>} */
  items = signal(/** @type {Item[]} */ ([]));
  /** Writes that are not yet on the phone. */
  #writing = Promise.resolve();
  #turns = new Turns(() => this.#send());

  /** @param {Needs} needs */
  constructor(needs) {
    this.needs = needs;
    this.channel = globalThis.BroadcastChannel ? new BroadcastChannel("denwright-queue") : undefined;
    if (this.channel) this.channel.onmessage = () => this.load();
  }

  /** Tries no more, as when its page has gone. */
  stop() {
    this.#turns.stop();
    this.channel?.close();
    this.channel = undefined;
  }

  /** Shows what lies on the phone. */
  async load() {
    const person = this.needs.person();
    await this.#writing;
    const found = person ? await (await this.needs.database()).getAllFromIndex("queue", "person", person) : [];
    found.sort((/** @type {Item} */ a, /** @type {Item} */ b) => (a.id < b.id ? -1 : 1));
    this.items.value = found.map(renamed);
  }

  /**
   * Keeps something and sends it when it can be. Shown at once; resolved once it lies on the phone.
   * @param {{ kennel: string, says: string, row?: Omit<Row, "id"> & { id?: string }, call?: Call }} written
   * @returns {Item}
   */
  add(written) {
    const person = this.needs.person();
    if (!person) throw new Error("nobody is signed in");
    const id = written.row?.id ?? newId(this.needs.now());
    /** @type {Item} */
    const item = {
      id, person, kennel: written.kennel, at: this.needs.now(), state: "kept", tried: false, why: [], says: written.says,
      ...(written.row ? { row: { ...written.row, id } } : {}),
      ...(written.call ? { call: written.call } : {}),
    };
    this.items.value = [...this.items.peek(), item];
    this.#put(item).then(() => this.drain());
    return item;
  }

  /** Waits until all that was written lies on the phone. */
  settled() {
    return this.#writing;
  }

  /** @param {Item} item */
  #put(item) {
    return this.#then(async (db) => { await db.put("queue", item); });
  }

  /** @param {(db: any) => Promise<void>} write */
  #then(write) {
    const done = this.#writing.then(async () => write(await this.needs.database()));
    this.#writing = done.catch(() => {});
    return done.then(() => this.channel?.postMessage("changed"));
  }

  /** @param {string} id @param {(item: Item) => Item | undefined} change */
  async #change(id, change) {
    const known = this.items.peek();
    const before = known.find((item) => item.id === id);
    if (!before) return;
    const after = change(before);
    this.items.value = known.flatMap((item) => (item.id !== id ? [item] : after ? [after] : []));
    await this.#then(async (db) => { await (after ? db.put("queue", after) : db.delete("queue", id)); });
  }

  /** Takes something back that was not sent; false when it may have been. @param {string} id */
  takeBack(id) {
    const item = this.items.peek().find((one) => one.id === id);
    if (!item || (item.tried && item.state === "kept")) return false;
    this.#change(id, () => undefined);
    return true;
  }

  /**
   * Changes what was not sent, or was refused, and sends it (again); false when it may have arrived.
   * @param {string} id @param {Record<string, any>} fields
   */
  mend(id, fields) {
    const item = this.items.peek().find((one) => one.id === id);
    if (!item || (item.tried && item.state === "kept")) return false;
    const mended = item.row ? { row: { ...item.row, record: { ...item.row.record, ...fields } } }
      // Another body is another request.
      : item.call ? { call: { ...item.call, body: { ...item.call.body, ...fields }, key: newId(this.needs.now()) } } : {};
    this.#change(id, () => ({ ...item, ...mended, state: "kept", why: [], tried: false })).then(() => this.drain());
    return true;
  }

  /** Sends what is kept, now; a call while it runs has it look once more. */
  drain() {
    return this.#turns.begin();
  }

  async #send() {
    await this.needs.alone("denwright-queue", async () => {
      // Another tab may have sent some meanwhile.
      await this.load();
      for (;;) {
        const kept = this.items.peek().filter((item) => item.state === "kept");
        const first = kept[0];
        if (!first) break;
        const rows = [];
        for (const item of kept) {
          if (!item.row || item.kennel !== first.kennel || rows.length === TOGETHER) break;
          rows.push(item);
        }
        if (rows.length > 0) await this.#sendRows(first.kennel, rows);
        else await this.#sendCall(first);
        this.needs.sent();
      }
    });
  }

  /** @param {string} kennel @param {Item[]} items */
  async #sendRows(kennel, items) {
    const marked = await this.#tried(items);
    const body = {
      sent_at: new Date(this.needs.now()).toISOString(),
      shift_times: true,
      items: marked.map((item) => item.row),
    };
    const answer = await this.#asked(items, `/v1/kennels/${kennel}/observations/batch`, { method: "POST", body });
    if (!answer) return;
    /** @type {import("./types.d.ts").BatchAnswer} */
    const told = await answer.json();
    for (const row of told.items) {
      const item = items[row.index];
      if (!item) continue;
      if (row.status === "refused") {
        const why = row.errors.map((fault) => ({ ...fault, pointer: fault.pointer.replace(/^\/items\/\d+/, "") }));
        await this.#change(item.id, (one) => ({ ...one, state: "refused", why }));
      } else {
        await this.#change(item.id, () => undefined);
      }
    }
  }

  /** @param {Item} item */
  async #sendCall(item) {
    const call = /** @type {Call} */ (item.call);
    await this.#tried([item]);
    if (await this.#called(item, call)) await this.#change(item.id, () => undefined);
    // What was refused before it is taken back is not asked about any more.
    const id = call.path.split("/").pop() ?? "";
    if (call.method === "DELETE") await this.#change(id, (one) => (one.state === "refused" ? undefined : one));
  }

  /** @param {Item} item @param {Call} call */
  async #called(item, call) {
    const path = `/v1/kennels/${item.kennel}${call.path}`;
    /** @type {Record<string, string>} */
    const headers = call.method === "POST" ? { "Idempotency-Key": call.key ?? item.id } : {};
    if (call.seen) {
      const seen = await this.#asked([item], path, {});
      if (!seen) return undefined;
      headers["If-Match"] = seen.headers.get("ETag") ?? "";
    }
    const asked = { method: call.method, headers, ...(call.body === undefined ? {} : { body: call.body }) };
    return this.#asked([item], path, asked);
  }

  /** Notes that these may arrive from now on, all at once, so that none is changed under way. @param {Item[]} items */
  async #tried(items) {
    const ids = new Set(items.map((item) => item.id));
    const marked = this.items.peek().filter((item) => ids.has(item.id)).map((item) => ({ ...item, tried: true }));
    this.items.value = this.items.peek().map((item) => marked.find((one) => one.id === item.id) ?? item);
    await this.#then(async (db) => { for (const item of marked) await db.put("queue", item); });
    return marked;
  }

  /**
   * Asks; a refusal is noted with the items, a failure that passes is thrown.
   * @param {Item[]} items @param {string} path
   * @param {{ method?: string, body?: any, headers?: Record<string, string> }} asked
   */
  async #asked(items, path, asked) {
    try {
      return await this.needs.ask(path, asked);
    } catch (error) {
      const { status, passes, message, errors } = /** @type {any} */ (error);
      if (status === undefined || passes || status === 412) throw error;
      // What is to be removed and is not there is removed.
      const gone = status === 404 && items.some((item) => item.call?.method === "DELETE");
      const why = errors?.length > 0 ? errors : [{ pointer: "", detail: message }];
      for (const item of items) {
        await this.#change(item.id, (one) => (gone ? undefined : { ...one, state: "refused", why }));
      }
      return undefined;
    }
  }
}

/** Whether a refusal is a question: the service keeps it when it is meant. @param {Item} item */
export function isQuestion(item) {
  return item.state === "refused" && item.why.some((fault) => fault.detail.includes('"confirmed": true'));
}
