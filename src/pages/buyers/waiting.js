// The waiting list: each buyer with how to reach them and their wishes; a place, changed or given up.
import { html } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { Fold, Form } from "../parts/form.js";
import { History } from "../parts/history.js";
import { writes } from "../parts/kennel.js";
import { dayOf, fullDate, t } from "../parts/texts.js";
import { typedOf } from "../parts/typed.js";
import { Reserve } from "./proposal.js";

/** @typedef {import("./buyers.js").Known} Known */
/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/form.js").Field} Field */
const WISHES = ["sex", "colour", "purpose", "litter_id", "from_on", "until_on"];
const MUST = ["sex", "colour", "purpose", "litter", "date"];

/** @param {Known} known @returns {Field[]} */
function fieldsOf(known) {
  return [
    { name: "name", label: t("buyer.name"), required: true },
    { name: "email", label: t("buyer.email"), kind: "email" },
    { name: "phone", label: t("buyer.phone") },
    { name: "address", label: t("buyer.address"), kind: "lines" },
    { name: "joined_on", label: t("buyer.joined_on"), kind: "date", required: true },
    { name: "waiting_order", label: t("buyer.order"), kind: "number", hint: t("buyer.order_hint") },
    { name: "sex", label: t("birth.sex"), kind: "choice", options: [["female", t("birth.female")], ["male", t("birth.male")]] },
    { name: "colour", label: t("buyer.colour") },
    { name: "purpose", label: t("buyer.purpose") },
    { name: "litter_id", label: t("buyer.litter"), kind: "choice", options: known.litters.map((litter) => [litter.id, litter.name ?? t("litter.unnamed")]) },
    { name: "from_on", label: t("buyer.from_on"), kind: "date" },
    { name: "until_on", label: t("buyer.until_on"), kind: "date" },
    ...MUST.map((one) => /** @type {Field} */ ({ name: `must_${one}`, label: t("buyer.must", { wish: t(`wish.${one}`) }), kind: "check" })),
    { name: "household", label: t("buyer.household"), kind: "lines" },
    { name: "screening", label: t("buyer.screening"), kind: "lines" },
    { name: "consented_on", label: t("buyer.consented_on"), kind: "date" },
    { name: "note", label: t("event.note"), kind: "lines" },
  ];
}

/**
 * The wishes of a form are a part of their own in the record.
 * @param {Record<string, any>} typed @param {Record<string, any>} all
 */
function written(typed, all) {
  const wishes = Object.fromEntries(WISHES.filter((name) => name in typed).map((name) => [name, typed[name]]));
  const rest = Object.fromEntries(Object.entries(typed).filter(([name]) => !WISHES.includes(name) && !name.startsWith("must_")));
  const must = MUST.some((one) => `must_${one}` in typed) ? { must: MUST.filter((one) => all[`must_${one}`]) } : {};
  return { ...rest, ...(Object.keys({ ...wishes, ...must }).length > 0 ? { wishes: { ...wishes, ...must } } : {}) };
}

/** @param {{ known: Known }} props */
export function NewBuyer({ known }) {
  if (!writes(known.kennel.role)) return null;
  return html`<${Fold} label=${t("buyer.add")}><${Form} kennel=${known.kennel.kennel_id} draft="buyer" says="says.buyer" fields=${fieldsOf(known)}
    first=${{ joined_on: dayOf(now()) }} call=${(/** @type {any} */ typed, /** @type {any} */ all) => ({ method: "POST", path: "/buyers", body: written(typed, all) })} /><//>`;
}

/** What a buyer would like, in one line. @param {Schema["BuyerWishes"]} wishes @param {Known} known */
export function wished(wishes, known) {
  const must = new Set(wishes.must);
  const said = (/** @type {Schema["WishKind"]} */ kind, /** @type {string | null | undefined} */ words) => words && (must.has(kind) ? `${words} (${t("buyer.needed")})` : words);
  return [said("sex", wishes.sex && t(`birth.${wishes.sex}`)), said("colour", wishes.colour), said("purpose", wishes.purpose),
    said("litter", wishes.litter_id && known.litters.find((litter) => litter.id === wishes.litter_id)?.name),
    said("date", wishes.from_on || wishes.until_on ? `${wishes.from_on ? fullDate(wishes.from_on) : "…"} – ${wishes.until_on ? fullDate(wishes.until_on) : "…"}` : "")].filter(Boolean).join(" · ") || t("buyer.no_wish");
}

/** @param {{ known: Known, waiting: Schema["KeptBuyer"][] }} props */
export function Waiting({ known, waiting }) {
  const order = [...waiting].sort((a, b) => (a.waiting_order ?? 1e6) - (b.waiting_order ?? 1e6) || a.joined_on.localeCompare(b.joined_on));
  return html`<ol>${order.map((buyer, place) => html`<li key=${buyer.id}><${Fold} label=${html`<span class="lines"><strong>${place + 1}. ${buyer.name}</strong>
      <span>${t("buyer.since", { day: fullDate(buyer.joined_on) })} · ${wished(buyer.wishes, known)}</span></span>`}>
    <${One} known=${known} buyer=${buyer} /><//></li>`)}</ol>`;
}

/** Who has left the list, the latest first. @param {{ known: Known }} props */
export function Left({ known }) {
  const left = known.buyers.filter((buyer) => buyer.left_on && !buyer.erased_on).sort((a, b) => (b.left_on ?? "").localeCompare(a.left_on ?? ""));
  if (left.length === 0) return null;
  return html`<${Fold} label=${t("buyers.left", { count: left.length })}><ul>${left.map((buyer) => html`<li key=${buyer.id}><${Fold} label=${html`<span class="lines"><strong>${buyer.name}</strong>
      <span>${t("buyer.left_since", { day: fullDate(buyer.left_on ?? "") })}</span></span>`}><${One} known=${known} buyer=${buyer} /><//></li>`)}</ul><//>`;
}

/** @param {{ known: Known, buyer: Schema["KeptBuyer"] }} props */
function One({ known, buyer }) {
  const { kennel } = known;
  const path = `/buyers/${buyer.id}`;
  const fields = fieldsOf(known);
  const { must = [], ...wishes } = buyer.wishes;
  const first = typedOf(fields, { ...buyer, ...wishes, ...Object.fromEntries(MUST.map((one) => [`must_${one}`, must.includes(/** @type {Schema["WishKind"]} */ (one))])) });
  return html`
    <div class="deeds">${buyer.phone && html`<a class="button" href=${`tel:${buyer.phone.replace(/[^+\d]/g, "")}`}>${buyer.phone}</a>`}
      ${buyer.email && html`<a class="button" href=${`mailto:${buyer.email}`}>${buyer.email}</a>`}</div>
    ${[["buyer.address", buyer.address], ["buyer.household", buyer.household], ["buyer.screening", buyer.screening], ["event.note", buyer.note]].map(([key, words]) =>
      words && html`<p><strong>${t(key ?? "")}:</strong> ${words}</p>`)}
    ${buyer.consented_on && html`<p>${t("buyer.consented", { day: fullDate(buyer.consented_on) })}</p>`}
    ${writes(kennel.role) && html`
      ${known.free.length > 0 && html`<${Fold} label=${t("buyer.reserve")}><${Reserve} known=${known} buyer=${buyer.id} /><//>`}
      <${Fold} label=${t("buyer.change")}><${Form} kennel=${kennel.kennel_id} draft=${`buyer/${buyer.id}`} says="says.buyer" change=${true} fields=${fields} first=${first}
        call=${(/** @type {any} */ typed, /** @type {any} */ all) => ({ method: "PATCH", path, seen: true, body: written(typed, all) })} /><//>
      ${buyer.left_on
        ? html`<${Form} kennel=${kennel.kennel_id} draft=${`back/${buyer.id}`} says="says.buyer" fields=${[]} button=${t("buyer.left_back")}
            call=${() => ({ method: "PATCH", path, seen: true, body: { left_on: null } })} />`
        : html`<${Fold} label=${t("buyer.left")}><p>${t("buyer.left_how")}</p>
            <${Form} kennel=${kennel.kennel_id} draft=${`left/${buyer.id}`} says="says.buyer_left" fields=${[{ name: "left_on", label: t("buyer.left_on"), kind: "date", required: true }, { name: "note", label: t("buyer.left_why"), kind: "lines" }]}
              first=${{ left_on: dayOf(now()), note: buyer.note ?? "" }} button=${t("buyer.left_do")}
              call=${(/** @type {any} */ body) => ({ method: "PATCH", path, seen: true, body })} /><//>`}
      ${kennel.role === "owner" && html`<${Fold} label=${t("buyer.erase")}><p>${t("buyer.erase_how")}</p>
        <${Form} kennel=${kennel.kennel_id} draft=${`erase/${buyer.id}`} says="says.buyer_erased" button=${t("buyer.erase_do")} fields=${[{ name: "sure", label: t("buyer.erase_sure"), kind: "choice", required: true, options: [["yes", buyer.name]] }]}
          call=${() => ({ method: "POST", path: `${path}/erasure` })} /><//>`}`}
    ${kennel.role === "owner" && html`<${Fold} label=${t("history.of_buyer")}><${History} kennel=${kennel} rows=${[{ id: buyer.id, label: buyer.name }]} /><//>`}`;
}
