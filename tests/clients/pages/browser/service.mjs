// The service as the test starts, kills and starts it again, always on the same port and data, and with a clock
// that the test moves on.
import { spawn } from "node:child_process";
import { openSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { availableParallelism } from "node:os";
import { basename, join } from "node:path";

/** Threads of the service that answer, at most. */
const THREADS = 2 * availableParallelism();

/** @param {string} clock what is loaded before the program, so that its clock is the one of a file (libfaketime) */
export async function service(program, folder, clock) {
  const port = await new Promise((told) => {
    const server = createServer().listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => told(port));
    });
  });
  const base = `http://127.0.0.1:${port}`;
  const out = join(folder, "out");
  const ahead = join(folder, "ahead");
  let aheadMs = 0;
  // The clock alone: its waits stay as they are, and so does the clock of its Postgres.
  const faked = { LD_PRELOAD: clock, FAKETIME_TIMESTAMP_FILE: ahead, FAKETIME_NO_CACHE: "1", FAKETIME_ONLY_CMDS: basename(program),
    DONT_FAKE_MONOTONIC: "1", FAKETIME_DONT_FAKE_MONOTONIC: "1" };
  const { DATABASE_URL, ...environment } = process.env;
  let child;
  const one = {
    base,
    now: () => Date.now() + aheadMs,
    /**
     * Moves its clock on, and waits until all its answers tell so: each of its threads writes their Date twice a
     * second, and a new connection is the next thread's. @param {number} ms
     */
    async later(ms) {
      aheadMs += ms;
      writeFileSync(`${ahead}.new`, `+${aheadMs / 1000}`);
      renameSync(`${ahead}.new`, ahead);
      const end = Date.now() + 10_000;
      for (let told = 0; told < THREADS;) {
        const { headers } = await fetch(`${base}/health/live`, { headers: { Connection: "close" } });
        const behind = one.now() - Date.parse(headers.get("Date"));
        told = behind < 2_000 ? told + 1 : 0;
        if (Date.now() > end) throw new Error(`the service's clock is ${behind} ms behind`);
        if (told === 0) await new Promise((done) => setTimeout(done, 20));
      }
    },
    said: () => readFileSync(out, "utf8"),
    async start() {
      child = spawn(program, ["serve"], {
        env: { ...environment, ...faked, DENWRIGHT_DATA: join(folder, "data"), DENWRIGHT_LISTEN: `127.0.0.1:${port}`,
          DENWRIGHT_DEMO: "on", DENWRIGHT_LOG: "warn", DENWRIGHT_TRIES_FROM_ADDRESS: "1000",
          // Its mail goes into a file, and push services are those of the test.
          DENWRIGHT_MAIL: `program:/usr/bin/tee -a ${join(folder, "mail")}`, DENWRIGHT_WEBHOOKS_PRIVATE: "on" },
        stdio: ["ignore", openSync(out, "a"), openSync(out, "a")],
      });
      for (const end = Date.now() + 180_000; ;) {
        try {
          if ((await fetch(`${base}/health/ready`)).ok) return;
        } catch {
          // Not listening yet.
        }
        if (Date.now() > end) throw new Error(`the service does not answer:\n${one.said()}`);
        await new Promise((done) => setTimeout(done, 100));
      }
    },
    /** @param {NodeJS.Signals} signal */
    async stop(signal) {
      const over = new Promise((done) => child.once("exit", done));
      child.kill(signal);
      await over;
      // What is killed leaves behind by what libfaketime tells children the time.
      for (const name of ["faketime_shm_", "sem.faketime_sem_"]) rmSync(`/dev/shm/${name}${child.pid}`, { force: true });
    },
    async get(path, token) {
      const answer = await fetch(base + path, { headers: { Authorization: `Bearer ${token}` } });
      if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
      return answer.json();
    },
    post: (path, body, token, more) => one.send("POST", path, body, token, more),
    async send(method, path, body, token, more = {}) {
      const headers = { "Content-Type": "application/json", ...(token ? { Authorization: `Bearer ${token}` } : {}), ...more };
      const answer = await fetch(base + path, { method, headers, body: JSON.stringify(body) });
      if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
      return answer.json();
    },
  };
  writeFileSync(ahead, "+0");
  return one;
}
