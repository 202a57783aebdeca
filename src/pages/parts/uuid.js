// Ids made on the phone: UUID version 7 (RFC 9562, 5.7), which sort by the time they were made at.

let last = 0;

/** An id after all that were made here before, also within one millisecond. @param {number} [now] milliseconds since 1970 */
export function newId(now = Date.now()) {
  const at = Math.max(now, last + 1);
  last = at;
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let place = 0; place < 6; place += 1) {
    bytes[place] = Math.floor(at / 256 ** (5 - place)) % 256;
  }
  bytes[6] = 0x70 | (/** @type {number} */ (bytes[6]) & 0x0f);
  bytes[8] = 0x80 | (/** @type {number} */ (bytes[8]) & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
