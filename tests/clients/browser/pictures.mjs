// Fetches pictures from a service with the demo in it and measures them as a browser shows them.
import { execFileSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";

const [base, browser, folder] = process.argv.slice(2);

async function get(path, token) {
  const answer = await fetch(base + path, { headers: { Authorization: `Bearer ${token}` } });
  if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
  return answer;
}

async function ready() {
  for (let tries = 0; tries < 1200; tries += 1) {
    try {
      if ((await fetch(`${base}/health/ready`)).ok) return;
    } catch {
      // Not listening yet.
    }
    await new Promise((done) => setTimeout(done, 100));
  }
  throw new Error("the service does not answer");
}

async function pictures() {
  await ready();
  const login = await fetch(`${base}/v1/auth/login`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ email: "maren@example.org", password: "larkfell-demo-2026" }),
  });
  const token = (await login.json()).access_token;
  const read = async (path) => (await get(path, token)).json();
  const kennel = `/v1/kennels/${(await read("/v1/me")).kennels[0].kennel_id}`;
  const litters = (await read(`${kennel}/litters?born=true`)).items;
  const found = [];
  for (const litter of litters.sort((a, b) => a.whelped_on.localeCompare(b.whelped_on)).slice(-2)) {
    const pup = (await read(`${kennel}/litters/${litter.id}/births`)).items[0].dog_id;
    found.push([`growth of ${litter.name}`, `${kennel}/litters/${litter.id}/growth.svg`, 360]);
    found.push([`growth of a pup of ${litter.name}`, `${kennel}/dogs/${pup}/growth.svg`, 360]);
    // A pedigree is for paper: a page laid across is some 1000 CSS pixels wide.
    found.push(["pedigree", `${kennel}/dogs/${pup}/pedigree.svg?generations=4`, 1000]);
  }
  return Promise.all(found.map(async ([name, path, narrowest]) =>
    ({ name, narrowest, svg: await (await get(path, token)).text() })));
}

// Runs in the page. Contrast is that of WCAG 2.2, success criterion 1.4.3.
function measure(narrowest) {
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
  const dark = matchMedia("(prefers-color-scheme: dark)").matches;
  return { faults, width: frame.width, ground, dark, texts: texts.map((one) => one.text) };
}

function shown({ svg, narrowest }, width, dark) {
  const page = join(folder, "page.html");
  writeFileSync(page, `<!doctype html><meta charset="utf-8"><style>body{margin:0}</style>
    <div style="width:${width}px">${svg}</div><script>
    document.title = JSON.stringify((${measure})(${narrowest}));</script>`);
  const dom = execFileSync(browser, [
    "--headless", "--no-sandbox", "--disable-gpu", `--window-size=${Math.max(width, 600)},3000`,
    `--blink-settings=preferredColorScheme=${dark ? 0 : 1}`, `--user-data-dir=${join(folder, "profile")}`,
    "--dump-dom", `file://${page}`,
  ], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
  const title = dom.match(/<title>(\{.*?)<\/title>/s)[1];
  const plain = title.replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");
  return JSON.parse(plain);
}

const all = await pictures();
let bad = 0;
let looks = 0;
for (const picture of all) {
  const grounds = new Set();
  for (const width of [picture.narrowest, 1100]) {
    for (const dark of [false, true]) {
      const seen = shown(picture, width, dark);
      looks += 1;
      grounds.add(seen.ground);
      if (Math.abs(seen.width - width) > 2) seen.faults.push(`is ${seen.width} px wide, not ${width}`);
      if (seen.dark !== dark) seen.faults.push("the browser does not show the scheme asked for");
      for (const fault of seen.faults) {
        bad += 1;
        console.error(`${picture.name}, ${width} px, ${dark ? "dark" : "light"}: ${fault}`);
      }
      const words = seen.texts.join(" ");
      if (picture.name.startsWith("growth") && !(/gram|\bg\b|kg/.test(words) && /days/.test(words))) {
        bad += 1;
        console.error(`${picture.name}: no units on the axes: ${words}`);
      }
    }
  }
  if (picture.name.startsWith("growth") && grounds.size !== 2) {
    bad += 1;
    console.error(`${picture.name}: the same ground in light and dark`);
  }
}
console.log(`${all.length} pictures looked at ${looks} times, ${bad} faults`);
process.exit(bad === 0 ? 0 : 1);
