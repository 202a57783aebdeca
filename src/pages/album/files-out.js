// Pictures and papers on their way: kept on the phone first, then sent in pieces by tus 1.0, and gone on with where a
// line broke, or the page was left. What the service refuses stays here with its words until it is dropped.
//
// Knows nothing of pages: what it needs is handed to it, so that its tests run without a browser
// (tests/clients/pages/album.test.mjs). kept-files.js has the one of the pages.
import { signal } from "../parts/html.js";
import { Turns } from "../parts/turns.js";
import { newId } from "../parts/uuid.js";

/** @typedef {import("../parts/queue.js").Fault} Fault */
/** What a file becomes, beside its bytes. @typedef {Partial<import("../parts/types.d.ts").Schema["Attachment"]>} Record */
/**
 * @typedef {object} Sending
 * @property {string} id UUID version 7: the order of adding
 * @property {string} person whose it is
 * @property {string} kennel
 * @property {string} name of the file
 * @property {string} type its media type, as the device has it
 * @property {number} size its bytes
 * @property {number} offset bytes that have arrived, as far as it is known here
 * @property {Record} record
 * @property {string} [upload] its id at the service, once it was announced there
 * @property {boolean} whole whether all of it has arrived and was taken
 * @property {"kept" | "refused"} state
 * @property {Fault[]} why
 */
/**
 * @typedef {object} Needs
 * @property {() => Promise<any>} database
 * @property {() => string | undefined} person who is signed in
 * @property {(path: string, asked: import("../parts/api.js").Asked) => Promise<Response>} ask
 * @property {(name: string, run: () => Promise<void>) => Promise<void>} alone runs it while no other tab does
 * @property {() => void} sent told when the service has something new
 * @property {() => number} now
 */

/** Bytes of a piece: what a slow line has to send again when it breaks, and after which progress is told. */
export const PIECE = 512 * 1024;
const PIECE_TYPE = "application/offset+octet-stream";
const TUS = { "Tus-Resumable": "1.0.0" };

export class FilesOut {
  /** All of who is signed in, in the order of adding. @type {import("../vendor/signals.js").Signal<Sending[]>} */
  items = signal(/** @type {Sending[]} */ ([]));
  #turns = new Turns(() => this.#send());

  /** @param {Needs} needs */
  constructor(needs) {
    this.needs = needs;
  }

  /** Shows what lies on the phone. */
  async load() {
    const person = this.needs.person();
    /** @type {Sending[]} */
    const found = person ? await (await this.needs.database()).getAllFromIndex("files", "person", person) : [];
    const shown = this.items.peek();
    found.sort((a, b) => (a.id < b.id ? -1 : 1));
    this.items.value = found.map((one) => ({ ...one, offset: shown.find(({ id }) => id === one.id)?.offset ?? one.offset }));
  }

  /**
   * Keeps files and sends them when it can be; rejected where the phone has no room for them.
   * @param {string} kennel @param {File[]} files @param {(file: File) => Record} recordOf
   */
  async add(kennel, files, recordOf) {
    const person = this.needs.person();
    if (!person) throw new Error("nobody is signed in");
    const db = await this.needs.database();
    for (const file of files) {
      /** @type {Sending} */
      const item = { id: newId(this.needs.now()), person, kennel, name: file.name, type: file.type, size: file.size, offset: 0, record: recordOf(file), whole: false, state: "kept", why: [] };
      const work = db.transaction(["files", "bytes"], "readwrite");
      await Promise.all([work.objectStore("files").put(item), work.objectStore("bytes").put(file, item.id), work.done]);
      this.items.value = [...this.items.peek(), item];
    }
    this.drain();
  }

  /** Takes one away that was refused. @param {string} id */
  drop(id) {
    return this.#change(id, () => undefined);
  }

  /** Sends what is kept, now; a call while it runs has it look once more. */
  drain() {
    return this.#turns.begin();
  }

  /** Tries no more, as when its page has gone. */
  stop() {
    this.#turns.stop();
  }

  /** @param {string} id @param {(item: Sending) => Sending | undefined} change */
  async #change(id, change) {
    const before = this.items.peek().find((item) => item.id === id);
    if (!before) return undefined;
    const after = change(before);
    this.items.value = this.items.peek().flatMap((item) => (item.id !== id ? [item] : after ? [after] : []));
    const db = await this.needs.database();
    if (after) await db.put("files", after);
    else {
      const work = db.transaction(["files", "bytes"], "readwrite");
      await Promise.all([work.objectStore("files").delete(id), work.objectStore("bytes").delete(id), work.done]);
    }
    return after;
  }

  async #send() {
    await this.needs.alone("denwright-files", async () => {
      // Another tab may have sent some meanwhile.
      await this.load();
      for (;;) {
        const item = this.items.peek().find((one) => one.state === "kept");
        if (!item) break;
        await this.#one(item);
      }
    });
  }

  /** Sends one, or notes why it is refused; a failure that passes is thrown. @param {Sending} item */
  async #one(item) {
    try {
      const whole = item.whole ? item : await this.#whole(item);
      // By then the upload may have become what it was for: the answer to this key is kept by the service.
      await this.needs.ask(`/v1/kennels/${item.kennel}/attachments`, {
        method: "POST", headers: { "Idempotency-Key": item.id }, body: { ...whole.record, upload_id: whole.upload },
      });
      await this.#change(item.id, () => undefined);
      this.needs.sent();
    } catch (error) {
      const { status, passes, message, errors } = /** @type {any} */ (error);
      if (status === undefined || passes) throw error;
      const why = errors?.length > 0 ? errors : [{ pointer: "", detail: message }];
      await this.#change(item.id, (one) => ({ ...one, state: "refused", why }));
    }
  }

  /** Sends all that is missing of a file. @param {Sending} item @returns {Promise<Sending>} */
  async #whole(item) {
    // One that the service gave up meanwhile is announced anew, once: what it refuses again is refused.
    for (let turn = 0; ; turn += 1) {
      try {
        // With what the turn before noted of it.
        const now = this.items.peek().find(({ id }) => id === item.id);
        const upload = now?.upload ?? await this.#announce(item);
        await this.#pieces(item, `/v1/kennels/${item.kennel}/uploads/${upload}`);
        return /** @type {Sending} */ (await this.#change(item.id, (one) => ({ ...one, upload, whole: true })));
      } catch (error) {
        const { status } = /** @type {any} */ (error);
        if (turn > 0 || (status !== 404 && status !== 409)) throw error;
        if (status === 404) await this.#change(item.id, ({ upload: _, ...one }) => ({ ...one, offset: 0 }));
      }
    }
  }

  /** @param {Sending} item @returns {Promise<string>} its id at the service */
  async #announce(item) {
    const headers = { ...TUS, "Upload-Length": String(item.size), ...(item.type ? { "Upload-Metadata": `filetype ${btoa(item.type)}` } : {}) };
    const answer = await this.needs.ask(`/v1/kennels/${item.kennel}/uploads`, { method: "POST", headers });
    const { id } = await answer.json();
    await this.#change(item.id, (one) => ({ ...one, upload: id }));
    return id;
  }

  /** @param {Sending} item @param {string} path of its upload */
  async #pieces(item, path) {
    /** @type {Blob} */
    const bytes = await (await this.needs.database()).get("bytes", item.id);
    let { offset } = await (await this.needs.ask(path, {})).json();
    for (;;) {
      this.items.value = this.items.peek().map((one) => (one.id === item.id ? { ...one, offset } : one));
      if (offset >= item.size) return;
      const piece = bytes.slice(offset, offset + PIECE, PIECE_TYPE);
      const answer = await this.needs.ask(path, { method: "PATCH", headers: { ...TUS, "Upload-Offset": String(offset) }, file: piece });
      offset = Number(answer.headers.get("Upload-Offset"));
    }
  }
}
