// A picture made small for the repository: a screenshot (PNG of 8 bits, RGB or RGBA, not interlaced) in its most
// frequent colours, all others as the nearest of these, and packed as tightly as it goes.
import { crc32, deflateSync, inflateSync } from "node:zlib";

const HEAD = 8;
const COLOURS = 256;

function* chunks(png) {
  for (let at = HEAD; at < png.length;) {
    const size = png.readUInt32BE(at);
    yield [png.toString("latin1", at + 4, at + 8), png.subarray(at + 8, at + 8 + size)];
    at += size + 12;
  }
}

function chunk(name, body) {
  const whole = Buffer.concat([Buffer.alloc(4), Buffer.from(name, "latin1"), body, Buffer.alloc(4)]);
  whole.writeUInt32BE(body.length, 0);
  whole.writeUInt32BE(crc32(whole.subarray(4, -4)), whole.length - 4);
  return whole;
}

const paeth = (a, b, c) => {
  const [pa, pb, pc] = [Math.abs(b - c), Math.abs(a - c), Math.abs(a + b - 2 * c)];
  return pa <= pb && pa <= pc ? a : pb <= pc ? b : c;
};

/** What each filter of a row adds back: of the byte to the left, above, and above to the left. */
const FILTERS = [() => 0, (a) => a, (a, b) => b, (a, b) => (a + b) >> 1, paeth];

/** The colour of each pixel as one number, row by row. */
function pixelsOf(packed, wide, tall, step) {
  const pixels = new Uint32Array(wide * tall);
  let above = Buffer.alloc(wide * step);
  for (let y = 0; y < tall; y += 1) {
    const from = y * (wide * step + 1);
    const add = FILTERS[packed[from]];
    const row = Buffer.from(packed.subarray(from + 1, from + 1 + wide * step));
    for (let i = 0; i < row.length; i += 1) row[i] += add(i < step ? 0 : row[i - step], above[i], i < step ? 0 : above[i - step]);
    for (let x = 0; x < wide; x += 1) pixels[y * wide + x] = row.readUIntBE(x * step, 3);
    above = row;
  }
  return pixels;
}

const parts = (colour) => [colour >> 16, (colour >> 8) & 255, colour & 255];
const apart = (a, b) => parts(a).reduce((sum, part, i) => sum + (part - parts(b)[i]) ** 2, 0);

export function small(png) {
  const all = [...chunks(png)];
  const header = Buffer.from(all[0][1]);
  const [wide, tall, bits, kind] = [header.readUInt32BE(0), header.readUInt32BE(4), header[8], header[9]];
  if (bits !== 8 || ![2, 6].includes(kind) || header[12] !== 0) throw new Error("another kind of PNG than a screenshot");
  const packed = inflateSync(Buffer.concat(all.filter(([name]) => name === "IDAT").map(([, body]) => body)));
  const pixels = pixelsOf(packed, wide, tall, kind === 2 ? 3 : 4);
  const counts = new Map();
  for (const colour of pixels) counts.set(colour, (counts.get(colour) ?? 0) + 1);
  const palette = [...counts].sort((a, b) => b[1] - a[1]).slice(0, COLOURS).map(([colour]) => colour);
  const nearest = (colour) => palette.reduce((best, one, at) => (apart(one, colour) < apart(palette[best], colour) ? at : best), 0);
  const places = new Map([...counts.keys()].map((colour) => [colour, nearest(colour)]));
  const rows = Buffer.alloc(tall * (wide + 1));
  pixels.forEach((colour, at) => { rows[Math.floor(at / wide) * (wide + 1) + 1 + (at % wide)] = places.get(colour); });
  header[9] = 3;
  return Buffer.concat([png.subarray(0, HEAD), chunk("IHDR", header), chunk("PLTE", Buffer.from(palette.flatMap(parts))),
    chunk("IDAT", deflateSync(rows, { level: 9 })), chunk("IEND", Buffer.alloc(0))]);
}
