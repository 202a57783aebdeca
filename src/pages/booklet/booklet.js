// The page behind a booklet's link: all that is recorded of a pup, for its new owner, without a login;
// and how the dog is, told back to the kennel.
import { html, useEffect, useState } from "../parts/html.js";
import { Trouble, openly } from "../parts/api.js";
import { Foot } from "../parts/frame.js";
import { State } from "../parts/states.js";
import { fullDate, language, learn, number, t } from "../parts/texts.js";
import { weight } from "../parts/units.js";
import en from "../texts/en/booklet.js";
import de from "../texts/de/booklet.js";
import { Report } from "./report.js";

learn({ en, de });

/** @typedef {import("../parts/types.d.ts").Schema["Booklet"]} Book */

/** @param {{ id: string }} props `id`: the secret of the link */
export function Booklet({ id }) {
  const [book, setBook] = useState(/** @type {Book | undefined} */ (undefined));
  const [state, setState] = useState("loading");
  const path = `/v1/booklets/${encodeURIComponent(id)}`;
  const read = async () => {
    setState("loading");
    try {
      setBook(await openly(path));
      setState("ready");
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setState(error.status === 0 ? "offline" : error.status === 404 || error.status === 410 ? "gone" : "error");
    }
  };
  useEffect(() => { read(); }, [id]);
  useEffect(() => { document.title = `${book?.dog.call_name ?? t("booklet.of")} – denwright`; }, [book]);
  return html`<div class="frame"><main id="main" tabindex="-1">
    ${book ? html`<${Pages} book=${book} path=${path} pdf=${`${path}/booklet.pdf?language=${language.peek()}`} />`
      : html`<h1>denwright</h1><${State} state=${state} again=${read} says=${state === "gone" ? t("booklet.gone") : state === "offline" ? t("booklet.offline") : undefined} />`}
  </main><${Foot} /></div>`;
}

/** @param {{ book: Book, path: string, pdf: string }} props */
function Pages({ book, path, pdf }) {
  const { dog, birth, kennel } = book;
  const facts = [["booklet.name", dog.name], ["booklet.sex", dog.sex && t(`birth.${dog.sex}`)], ["booklet.born", dog.born_on?.length === 10 ? fullDate(dog.born_on) : dog.born_on], ["booklet.breed", dog.breed], ["booklet.colour", dog.colour],
    ["booklet.chip", dog.chip_number], ["booklet.markings", dog.markings], ["booklet.litter", birth && `${birth.litter_name ?? ""} · ${t("booklet.of_litter", { ordinal: birth.ordinal, size: birth.litter_size })}`],
    ["booklet.birth_weight", birth?.weight_g && weight(birth.weight_g)], ...dog.registrations.map((one) => [one.registry, one.number])];
  const known = book.ancestors.filter((one) => one.name);
  const words = [["booklet.feeding", kennel.feeding], ["booklet.care", kennel.care], ["booklet.contact", kennel.contact]];
  return html`<h1>${dog.call_name ?? dog.name ?? birth?.collar ?? t("booklet.of")}</h1>
    <p>${t("booklet.from", { kennel: kennel.name, day: fullDate(book.made_on) })}</p>
    ${kennel.welcome && html`<p class="said-by">${kennel.welcome}</p>`}
    <p class="deeds"><a class="button main" href=${pdf} download="booklet.pdf">${t("booklet.paper")}</a></p>
    <dl class="facts">${facts.filter(([, value]) => value).map(([key, value]) => html`<div><dt>${t(String(key))}</dt><dd>${value}</dd></div>`)}</dl>
    <${Report} path=${path} />
    <${Album} pictures=${book.pictures} path=${path} />
    <h2>${t("booklet.due")}</h2>
    ${book.due_next.length === 0 && html`<p>${t("booklet.nothing_due")}</p>`}
    <ul class="lines-of">${book.due_next.map((one) => html`<li><p><strong>${one.name}</strong>${one.ideal_on ? ` · ${fullDate(one.ideal_on)}` : ""}${one.latest_on ? ` (${t("booklet.latest", { day: fullDate(one.latest_on) })})` : ""}${one.optional ? ` · ${t("booklet.optional")}` : ""}</p>
      <p class="hint">${t("banner.source")} <span lang="en">${one.source}</span></p></li>`)}</ul>
    <h2>${t("booklet.given")}</h2>
    <ul class="lines-of">${book.given.map((one) => html`<li><strong>${fullDate(one.done_on)}</strong> · ${t(`health_kind.${one.kind}`)}${[one.product, one.batch, one.given_by, one.reaction].filter(Boolean).map((text) => ` · ${text}`).join("")}</li>`)}</ul>
    ${book.tests.length > 0 && html`<h2>${t("booklet.tests")}</h2><ul class="lines-of">${book.tests.map((one) => html`<li>${one.name}: ${one.genotype}${one.meaning ? ` (${one.meaning})` : ""}</li>`)}</ul>`}
    ${words.filter(([, text]) => text).map(([key, text]) => html`<h2>${t(String(key))}</h2><p class="said-by">${text}</p>`)}
    <h2>${t("booklet.weights")}</h2>
    <ul class="weights">${book.weights.map((one) => html`<li><span>${fullDate(one.weighed_on)}</span> <span>${weight(one.weight_g)}</span></li>`)}</ul>
    <h2>${t("booklet.ancestors")}</h2>
    <ul class="lines-of">${known.map((one) => html`<li>${one.line.split(".").map((step) => t(`line.${step}`)).join(" → ")}: <strong>${one.name}</strong></li>`)}
      ${known.length < book.ancestors.length && html`<li>${t("booklet.unknown", { count: book.ancestors.length - known.length })}</li>`}</ul>
    <p>${t("booklet.inbreeding", { share: number(book.inbreeding * 100, 1) })} <span class="hint">${book.lower_bound.why}</span></p>
    ${book.not_recorded.length > 0 && html`<h2>${t("booklet.not_recorded")}</h2><ul class="lines-of">${book.not_recorded.map((text) => html`<li>${text}</li>`)}</ul>`}
    <p class="standing">${book.advice}</p>`;
}

/** Pictures and papers that the kennel shows, from birth on. @param {{ pictures: Book["pictures"], path: string }} props */
function Album({ pictures, path }) {
  if (pictures.length === 0) return null;
  const file = (/** @type {string} */ id, size = "") => `${path}/attachments/${id}/file${size}`;
  return html`<h2>${t("booklet.album")}</h2><ul class="album">${pictures.map((one) => {
    const says = [one.caption, one.age_days == null ? one.taken_on && fullDate(one.taken_on) : t("booklet.age", { count: one.age_days })].filter(Boolean).join(" · ");
    if (one.media_type === "application/pdf") return html`<li><a href=${file(one.attachment_id)} download>${says || t("booklet.shown_paper")}</a></li>`;
    return html`<li><figure><img loading="lazy" alt=${one.caption ?? t("booklet.picture")} src=${file(one.attachment_id, "?size=1280")} /><figcaption>${says}</figcaption></figure></li>`;
  })}</ul>`;
}
