// The pages begin here: who is signed in, which page the address names, and what is followed meanwhile.
import { computed, html, render, signal, useEffect, useSignal } from "./parts/html.js";
import { open, reached, session } from "./parts/api.js";
import { zone, t, language } from "./parts/texts.js";
import { units } from "./parts/units.js";
import { current } from "./parts/kennel.js";
import { queue } from "./parts/kept.js";
import { changed, follow } from "./parts/live.js";
import { filesKept } from "./parts/leave.js";
import "./parts/light.js";
import { forgetAll, useAnswer } from "./parts/read.js";
import { route } from "./parts/router.js";
import { State } from "./parts/states.js";
import { register } from "./parts/update.js";
import { Frame, Foot } from "./parts/frame.js";
import { SignIn } from "./sign-in/sign-in.js";
import { Home } from "./start/start.js";

/** Pages that are loaded when they are opened, or when there is time. @type {Record<string, () => Promise<any>>} */
const pages = {
  night: async () => (await import("./night/night.js")).Night,
  newborns: async () => (await import("./newborns/newborns.js")).Newborns,
  weigh: async () => (await import("./weigh/weigh.js")).Weigh,
  dam: async () => (await import("./dam/dam.js")).Dam,
  litter: async () => (await import("./litter/litter.js")).Litter,
  buyers: async () => (await import("./buyers/buyers.js")).Buyers,
  booklet: async () => (await import("./booklet/booklet.js")).Booklet,
  join: async () => (await import("./kennel/join.js")).Join,
  kennel: async () => (await import("./kennel/kennel.js")).Kennel,
  mating: async () => (await import("./mating/mating.js")).Mating,
  wall: async () => (await import("./wall/wall.js")).Wall,
  year: async () => (await import("./year/year.js")).Year,
  vet: async () => (await import("./start/vet.js")).VetNumber,
};
/** The pages that are here. */
const shown = signal(/** @type {Record<string, any>} */ ({ home: Home }));
/** Pages whose files did not come at the last try. */
const missed = signal(/** @type {string[]} */ ([]));
const here = computed(current);

function App() {
  useSignal(language);
  const { state } = useSignal(session);
  const kennel = useSignal(here);
  const { page, id } = useSignal(route);
  // Its link is all that one needs.
  if (page === "booklet") return html`<${Open} />`;
  if (state === "opening") return html`<main class="opening"><p role="status">${t("state.loading")}</p></main>`;
  if (state === "out") return html`<${SignIn} invitation=${page === "join" ? id : undefined} />`;
  if (page === "join") return html`<${Open} />`;
  if (!kennel) return html`<main class="opening"><${State} state="no_kennel" /><${Foot} /></main>`;
  return html`<${InKennel} key=${kennel.kennel_id} kennel=${kennel} />`;
}

/** A page that belongs to no kennel. */
function Open() {
  const { page, id } = useSignal(route);
  const Page = useSignal(shown)[page];
  const state = useSignal(missed).includes(page) ? "offline" : "loading";
  useEffect(() => { fetchPage(page); }, [page]);
  return Page ? html`<${Page} key=${id} id=${id} />` : html`<main class="opening"><${State} state=${state} again=${() => fetchPage(page)} /></main>`;
}

/** @param {{ kennel: import("./parts/types.d.ts").MyKennel }} props */
function InKennel({ kennel }) {
  const id = kennel.kennel_id;
  const particulars = useAnswer("/v1/kennels/{kennel_id}", { kennel_id: id });
  zone.value = particulars.data?.time_zone;
  useEffect(() => {
    units.value = { weight: particulars.data?.weight_unit ?? "g", temperature: particulars.data?.temperature_unit ?? "c" };
  }, [particulars.data?.weight_unit, particulars.data?.temperature_unit]);
  useEffect(() => follow(id), [id]);
  // A browser changes by itself where it takes rings; the service is told so.
  useEffect(() => { idle(() => ringing(({ renew }) => renew(id))); }, [id]);
  const alarms = useAnswer("/v1/kennels/{kennel_id}/alarms", { kennel_id: id });
  useEffect(() => {
    if (alarms.state === "ready") idle(() => ringing(({ hush }) => hush(id, alarms.data?.items ?? [])));
  }, [id, alarms.at]);
  useEffect(() => {
    // What only the clock changes: limits that are reached, the day that ends.
    const timer = setInterval(changed, 60_000);
    const seen = () => document.visibilityState === "visible" && changed();
    document.addEventListener("visibilitychange", seen);
    addEventListener("online", changed);
    return () => {
      clearInterval(timer);
      document.removeEventListener("visibilitychange", seen);
      removeEventListener("online", changed);
    };
  }, [id]);
  const { page, id: which } = useSignal(route);
  const Page = useSignal(shown)[page];
  const without = useSignal(missed);
  useEffect(() => { fetchPage(page); }, [page]);
  if (Page) return html`<${Page} key=${`${page}/${which}`} kennel=${kennel} id=${which} />`;
  const state = !(page in pages) ? "gone" : without.includes(page) ? "offline" : "loading";
  return html`<${Frame} title="denwright" kennel=${id}><${State} state=${state} again=${() => fetchPage(page)} /><//>`;
}

/** Only where this browser may ring. @param {(push: typeof import("./parts/push.js")) => Promise<void>} use */
async function ringing(use) {
  if (globalThis.Notification?.permission !== "granted") return;
  // What fails now is tried again when the pages are opened next, or look at alarms again.
  await import("./parts/push.js").then(use).catch(() => {});
}

/** Fetches a page's files; where they do not come, that is said and tried again. @param {string} page */
async function fetchPage(page) {
  const get = pages[page];
  if (!get || shown.peek()[page]) return;
  if (missed.peek().includes(page)) {
    // A browser keeps a module that failed as failed: only the whole page anew asks for it again. What was
    // written lies in the queue.
    const isThere = await fetch("/", { cache: "no-store" }).then((answer) => answer.ok, () => false);
    if (isThere) location.reload();
    return;
  }
  try {
    const Page = await get();
    shown.value = { ...shown.peek(), [page]: Page };
  } catch {
    missed.value = [...missed.peek(), page];
  }
}

const place = /** @type {Element} */ (document.getElementById("page"));
place.replaceChildren();
render(html`<${App} />`, place);
// What cannot wait is here before it is opened; the worker keeps all the others for when the network has gone.
const idle = globalThis.requestIdleCallback ?? ((/** @type {() => void} */ run) => setTimeout(run, 1000));
session.subscribe(({ state }) => {
  if (state === "out") forgetAll();
  if (state !== "in") return;
  idle(() => ["night", "weigh", "newborns"].forEach(fetchPage));
  // Files that were on their way when the pages were left last go on.
  if (filesKept() > 0) idle(() => { import("./album/kept-files.js").catch(() => {}); });
});
fetchPage(route.peek().page);
reached.subscribe((is) => {
  if (is) fetchPage(route.peek().page);
});
await queue.load();
await open();
idle(() => { register().catch(() => {}); });
