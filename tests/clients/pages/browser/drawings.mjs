// The drawings that the service hands out by themselves: growth and pedigree, on a phone, a screen, light and dark. What a
// person has to be able to read there is measured.
import assert from "node:assert/strict";
import { far, phone } from "./tools.mjs";

const WIDE = 1100;

/** As [name, address, the least width that it is for] of the two youngest litters. */
async function found(kennel, token) {
  const { items } = await far.get(`${kennel}/litters?born=true`, token);
  const all = [];
  for (const litter of items.sort((a, b) => a.whelped_on.localeCompare(b.whelped_on)).slice(-2)) {
    const pup = (await far.get(`${kennel}/litters/${litter.id}/births`, token)).items[0].dog_id;
    all.push([`growth of ${litter.name}`, `${kennel}/litters/${litter.id}/growth.svg`, 360]);
    all.push([`growth of a pup of ${litter.name}`, `${kennel}/dogs/${pup}/growth.svg`, 360]);
    // A pedigree is for paper: a page laid across is some 1000 CSS pixels wide.
    all.push([`pedigree of a pup of ${litter.name}`, `${kennel}/dogs/${pup}/pedigree.svg?generations=4`, 1000]);
  }
  return all;
}

/** Runs in the page. Contrast is that of WCAG 2.2, success criterion 1.4.3. */
function measure() {
  const svg = document.querySelector("svg");
  const frame = svg.getBoundingClientRect();
  const level = (colour) => {
    const [r, g, b] = colour.match(/[\d.]+/g).slice(0, 3).map((part) => part / 255)
      .map((part) => (part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (one, other) => {
    const [low, high] = [level(one), level(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  const ground = getComputedStyle(svg.querySelector("rect")).fill;
  const faults = [];
  const texts = [...svg.querySelectorAll("text")].map((node) => ({
    node, text: node.textContent, box: node.getBoundingClientRect(),
  }));
  if (texts.length < 5) faults.push(`only ${texts.length} texts`);
  for (const { node, text, box } of texts) {
    const outside = box.left < frame.left - 1 || box.right > frame.right + 1
      || box.top < frame.top - 1 || box.bottom > frame.bottom + 1;
    if (outside) faults.push(`"${text}" is cut off`);
    if (box.height < 6) faults.push(`"${text}" is ${box.height.toFixed(1)} px high`);
    const under = document.elementsFromPoint(box.left + 1, box.top + box.height / 2)
      .find((other) => other.tagName === "rect" || other.tagName === "circle");
    const behind = under ? getComputedStyle(under).fill : ground;
    if (!behind.startsWith("rgb(")) continue;
    const found = contrast(getComputedStyle(node).fill, behind);
    if (found < 4.5) faults.push(`"${text}" has a contrast of ${found.toFixed(1)}`);
  }
  const overlap = (a, b) => Math.max(0, Math.min(a.right, b.right) - Math.max(a.left, b.left))
    * Math.max(0, Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top));
  texts.forEach((one, index) => texts.slice(index + 1).forEach((other) => {
    const smaller = Math.min(one.box.width * one.box.height, other.box.width * other.box.height);
    if (overlap(one.box, other.box) > 0.35 * smaller) {
      faults.push(`"${one.text}" and "${other.text}" stand on one another`);
    }
  }));
  return { faults, width: frame.width, ground, words: texts.map((one) => one.text).join(" ") };
}

export async function drawings(kennel, token) {
  const page = await phone({ viewport: { width: WIDE, height: 3000 } });
  for (const [name, path, narrowest] of await found(kennel, token)) {
    const answer = await fetch(far.base + path, { headers: { Authorization: `Bearer ${token}` } });
    assert.equal(answer.status, 200, name);
    const svg = await answer.text();
    const grounds = new Set();
    for (const width of [narrowest, WIDE]) {
      await page.setContent(`<style>body { margin: 0 }</style><div style="width: ${width}px">${svg}</div>`);
      for (const colorScheme of ["light", "dark"]) {
        await page.emulateMedia({ colorScheme });
        const seen = await page.evaluate(measure);
        assert.deepEqual(seen.faults, [], `${name}, ${width} px, ${colorScheme}`);
        assert.ok(Math.abs(seen.width - width) <= 2, `${name} is ${seen.width} px wide, not ${width}`);
        if (name.startsWith("growth")) {
          assert.match(seen.words, /gram|\bg\b|kg/, `units of ${name}`);
          assert.match(seen.words, /days/, `units of ${name}`);
        }
        grounds.add(seen.ground);
      }
    }
    if (name.startsWith("growth")) assert.equal(grounds.size, 2, `${name}: the same ground in light and dark`);
  }
  await page.context().close();
}
