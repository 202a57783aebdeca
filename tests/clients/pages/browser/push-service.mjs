// A push service as browsers have one, and the device behind it: what was sealed for it is opened by the steps of
// RFC 8291 and 8188. Chromium without a display reaches no push service; its worker is handed what came here.
import assert from "node:assert/strict";
import { createDecipheriv, createECDH, createHmac, randomBytes } from "node:crypto";
import { createServer } from "node:http";

const hmac = (key, ...parts) => parts.reduce((mac, part) => mac.update(part), createHmac("sha256", key)).digest();

export async function pushService() {
  const own = createECDH("prime256v1");
  own.generateKeys();
  const auth = randomBytes(16);
  const came = [];
  const server = createServer((request, answer) => {
    const parts = [];
    request.on("data", (part) => parts.push(part));
    request.on("end", () => {
      came.push({ body: Buffer.concat(parts), headers: request.headers });
      answer.writeHead(201).end();
    });
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", done));

  /** @param {Buffer} body */
  function opened(body) {
    const salt = body.subarray(0, 16);
    const idLength = body[20];
    const sender = body.subarray(21, 21 + idLength);
    const sealed = body.subarray(21 + idLength);
    const ofBoth = hmac(auth, own.computeSecret(sender));
    const ikm = hmac(ofBoth, "WebPush: info\0", own.getPublicKey(), sender, Buffer.from([1]));
    const prk = hmac(salt, ikm);
    const key = hmac(prk, "Content-Encoding: aes128gcm\0", Buffer.from([1])).subarray(0, 16);
    const nonce = hmac(prk, "Content-Encoding: nonce\0", Buffer.from([1])).subarray(0, 12);
    const decipher = createDecipheriv("aes-128-gcm", key, nonce);
    decipher.setAuthTag(sealed.subarray(-16));
    const text = Buffer.concat([decipher.update(sealed.subarray(0, -16)), decipher.final()]);
    return JSON.parse(text.subarray(0, text.lastIndexOf(2)).toString());
  }

  return {
    endpoint: `http://127.0.0.1:${server.address().port}/send/larkfell`,
    keys: { p256dh: own.getPublicKey().toString("base64url"), auth: auth.toString("base64url") },
    /** The first message of which this holds, and how it came. */
    async message(holds, what) {
      for (const end = Date.now() + 20_000; Date.now() < end; await new Promise((done) => setTimeout(done, 50))) {
        const found = came.map(({ body, headers }) => ({ ring: opened(body), headers })).find(({ ring }) => holds(ring));
        if (found) return found;
      }
      assert.fail(`no message ${what} among ${came.length}`);
    },
    stop: () => server.close(),
  };
}
