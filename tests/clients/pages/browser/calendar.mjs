// Days that go by, for the service (its clock is libfaketime's) and for a phone (its clock is Playwright's). A day
// is told by its number: day 0 is the kennel's tomorrow, so that a run begins at no odd time of a day.
import assert from "node:assert/strict";
import { far, sent, until } from "./tools.mjs";

const DAY_MS = 86_400_000;
/** A page gives up a line that died after half a minute, and asks anew; it may take as long until it is told. */
const [PATIENCE_MS, OFF_MS] = [60_000, 60_000];

export class Calendar {
  /** @param page @param {string} zone the kennel's */
  constructor(page, zone) {
    this.page = page;
    this.clock = new Intl.DateTimeFormat("sv-SE", { timeZone: zone, dateStyle: "short", timeStyle: "medium" });
    this.first = Date.parse(this.#local(far.now()).slice(0, 10)) + DAY_MS;
  }

  /** `2026-12-01 10:00:00` */
  #local(at) {
    return this.clock.format(at);
  }

  /** @param {number} day @returns {string} `2026-12-01` */
  day(day) {
    return new Date(this.first + day * DAY_MS).toISOString().slice(0, 10);
  }

  /** The same as the pages tell it, `1 Dec 2026`. @param {number} day */
  told(day) {
    return new Intl.DateTimeFormat("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" }).format(this.first + day * DAY_MS);
  }

  /** Moves on to a time of a day. The phone lay in a drawer meanwhile. @param {number} day @param {string} time `10:00` */
  async to(day, time) {
    // What is under way would tell one clock the time of the other.
    await sent(this.page);
    // Well within its minute: the phone may be a little behind.
    const wished = Date.parse(`${this.day(day)}T${time}:20Z`);
    const ahead = Date.parse(`${this.#local(wished).replace(" ", "T")}Z`) - wished;
    const span = wished - ahead - far.now();
    assert.ok(span > 0, `day ${day}, ${time} is gone: time goes one way`);
    await far.later(span);
    await this.page.clock.fastForward(span);
    await this.page.evaluate(() => { document.dispatchEvent(new Event("visibilitychange")); });
    // It goes by the service's time, which it may have heard while its own clock was behind: then it hears it anew.
    const now = far.now();
    await until(this.page, async ({ now, off }) => {
      const clock = await import("/pages/parts/clock.js");
      if (Math.abs(clock.now() - now) < off) return true;
      document.dispatchEvent(new Event("visibilitychange"));
      return false;
    }, { now, off: OFF_MS }, "the page's clock is the service's", { patience: PATIENCE_MS, every: 500 });
  }
}
