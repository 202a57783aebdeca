// Work that is done one turn at a time: once more when it is asked for meanwhile, and after a failure again by
// itself, later and later, or when the service said.

const FIRST_WAIT = 1_000;
const LONGEST_WAIT = 60_000;

export class Turns {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  #timer;
  #wait = FIRST_WAIT;
  /** @type {Promise<void> | undefined} */
  #turn;
  #again = false;
  #stopped = false;

  /** @param {() => Promise<void>} work */
  constructor(work) {
    this.work = work;
  }

  /** Begins now; a call while it runs has it run once more. @returns {Promise<void>} */
  begin() {
    if (this.#turn) {
      this.#again = true;
      return this.#turn;
    }
    this.#turn = this.#run().finally(() => {
      this.#turn = undefined;
      if (this.#again) {
        this.#again = false;
        this.begin();
      }
    });
    return this.#turn;
  }

  async #run() {
    clearTimeout(this.#timer);
    try {
      await this.work();
      this.#wait = FIRST_WAIT;
    } catch (error) {
      if (this.#stopped) return;
      const wait = Number(/** @type {any} */ (error).wait ?? 0) * 1000;
      this.#timer = setTimeout(() => this.begin(), Math.max(wait, this.#wait));
      this.#wait = Math.min(this.#wait * 2, LONGEST_WAIT);
    }
  }

  /** Tries no more, as when its page has gone. */
  stop() {
    this.#stopped = true;
    clearTimeout(this.#timer);
  }
}
