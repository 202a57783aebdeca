// The service as the test starts, kills and starts it again, always on the same port and data.
import { spawn } from "node:child_process";
import { openSync, readFileSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";

export async function service(program, folder) {
  const port = await new Promise((told) => {
    const server = createServer().listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => told(port));
    });
  });
  const base = `http://127.0.0.1:${port}`;
  const out = join(folder, "out");
  const { DATABASE_URL, ...environment } = process.env;
  let child;
  const one = {
    base,
    said: () => readFileSync(out, "utf8"),
    async start() {
      child = spawn(program, ["serve"], {
        env: { ...environment, DENWRIGHT_DATA: join(folder, "data"), DENWRIGHT_LISTEN: `127.0.0.1:${port}`,
          DENWRIGHT_DEMO: "on", DENWRIGHT_LOG: "warn", DENWRIGHT_TRIES_FROM_ADDRESS: "1000" },
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
    },
    async get(path, token) {
      const answer = await fetch(base + path, { headers: { Authorization: `Bearer ${token}` } });
      if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
      return answer.json();
    },
    async post(path, body, token, more = {}) {
      const headers = { "Content-Type": "application/json", ...(token ? { Authorization: `Bearer ${token}` } : {}), ...more };
      const answer = await fetch(base + path, { method: "POST", headers, body: JSON.stringify(body) });
      if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
      return answer.json();
    },
  };
  return one;
}
