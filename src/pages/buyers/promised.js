// A pup that is promised: how far it has come, what is paid, whether it may go, and the hand-over with its booklet.
import { html, useState } from "../parts/html.js";
import { Trouble, json } from "../parts/api.js";
import { Album } from "../album/album.js";
import { now } from "../parts/clock.js";
import { Fold, Form } from "../parts/form.js";
import { writes } from "../parts/kennel.js";
import { Paper } from "../parts/paper.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { dayOf, fullDate, language, money, t } from "../parts/texts.js";

/** @typedef {import("./buyers.js").Known} Known */
/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/form.js").Field} Field */

/** @param {{ known: Known, one: Schema["KeptPlacement"] }} props */
export function Promised({ known, one }) {
  const own = { kennel_id: known.kennel.kennel_id };
  const account = useAnswer("/v1/kennels/{kennel_id}/placements/{placement_id}/account", { ...own, placement_id: one.id });
  const ready = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/readiness", { ...own, dog_id: one.dog_id });
  const path = `/placements/${one.id}`;
  const sums = account.data?.sums;
  const open = (ready.data?.checks ?? []).filter((check) => check.result !== "met");
  // What hinders is told by the rule's code first.
  const plain = (/** @type {string} */ detail) => detail.replace(/^(\w+): /, (all, rule) => (open.some((check) => check.rule === rule) ? `${t(`rule.${rule}`)}: ` : all));
  const stage = (/** @type {string} */ label, /** @type {string} */ to, /** @type {Field[]} */ fields, /** @type {any} */ more) => html`<${Fold} label=${label}>${more}
    <${Form} kennel=${own.kennel_id} draft=${`${to}/${one.id}`} says="says.placement" fields=${fields} first=${{ handed_over_on: dayOf(now()) }} button=${label} plain=${plain}
      call=${(/** @type {any} */ body) => ({ method: "PATCH", path, seen: true, body: { ...body, stage: to } })} /><//>`;
  return html`<h3>${known.pup(one.dog_id)} → ${one.buyer_id ? known.buyer(one.buyer_id) : t(`footing.${one.kind}`)}</h3>
    <p>${[t(`stage_of.${one.stage}`), one.reservation_ends_on ? t("promised.held", { day: fullDate(one.reservation_ends_on) }) : "", one.country ? t("promised.abroad", { country: one.country }) : "", one.price_minor === null ? "" : money(one.price_minor, one.currency)].filter(Boolean).join(" · ")}</p>
    ${sums?.currency && html`<p>${t("promised.sums", { received: money(sums.received_minor, sums.currency), due: money(sums.balance_due_minor, sums.currency) })}</p>`}
    ${ready.data && html`<p>${ready.data.ready ? `✓ ${t("promised.may_go")}` : `✗ ${ready.data.ready_on ? t("promised.from", { day: fullDate(ready.data.ready_on) }) : t("promised.no_day")} ${t("promised.missing", { rules: open.map((check) => t(`rule.${check.rule}`)).join(", ") })}`}</p>`}
    ${writes(known.kennel.role) && html`<${Fold} label=${t("promised.next")}>
      ${one.stage !== "confirmed" && stage(t("promised.confirm"), "confirmed", [], null)}
      ${stage(t("promised.hand_over"), "handed_over", [{ name: "handed_over_on", label: t("promised.on"), kind: "date", required: true }],
        open.length > 0 && html`<ul class="lines-of">${open.map((check) => html`<li key=${check.rule}>✗ ${t(`rule.${check.rule}`)}: <span>${check.detail}</span></li>`)}</ul>`)}
      ${one.price_minor !== null && html`<${Pay} known=${known} one=${one} entries=${account.data?.entries ?? []} />`}
      <${Fold} label=${t("promised.end")}><${Form} kennel=${own.kennel_id} draft=${`end/${one.id}`} says="says.placement" button=${t("promised.end")}
        fields=${[...(one.price_minor === null ? [] : [{ name: "kept_minor", label: t("promised.kept"), kind: "money" }]), { name: "note", label: t("promised.why"), kind: "lines" }]}
        call=${(/** @type {any} */ body) => ({ method: "POST", path: `${path}/end`, body })} /><//>
      <${Fold} label=${t("promised.contract")}><${Album} kennel=${known.kennel} subjects=${[{ field: "placement_id", id: one.id, label: known.pup(one.dog_id) }]} /><//>
      <${Links} known=${known} one=${one} /><//>`}`;
}

/** @param {{ known: Known, one: Schema["KeptPlacement"], entries: Schema["LedgerEntry"][] }} props */
function Pay({ known, one, entries }) {
  const currency = one.currency ?? known.currency;
  const fields = /** @type {Field[]} */ ([
    { name: "kind", label: t("pay.kind"), kind: "choice", required: true, options: ["deposit", "payment", "refund", "discount", "extra"].map((kind) => [kind, t(`ledger.${kind}`)]) },
    { name: "amount_minor", label: t("pay.amount", { currency }), kind: "money", required: true },
    { name: "paid_on", label: t("pay.on"), kind: "date", required: true },
    { name: "note", label: t("event.note") },
  ]);
  return html`<${Fold} label=${t("pay.title")}>
    <ul class="lines-of">${entries.map((entry) => html`<li>${fullDate(entry.booked_on)} · ${t(`ledger.${entry.kind}`)} · ${money(entry.amount.amount_minor, entry.amount.currency)}${entry.note ? ` · ${entry.note}` : ""}</li>`)}</ul>
    <${Form} kennel=${known.kennel.kennel_id} draft=${`pay/${one.id}`} says="says.payment" fields=${fields} first=${{ kind: "payment", paid_on: dayOf(now()) }}
      call=${(/** @type {any} */ body) => ({ method: "POST", path: `/placements/${one.id}/payments`, body: { ...body, currency } })} /><//>`;
}

/** The booklet as paper, and links by which the new owner reads it. @param {{ known: Known, one: Schema["KeptPlacement"] }} props */
function Links({ known, one }) {
  const base = `/v1/kennels/${known.kennel.kennel_id}/dogs/${one.dog_id}`;
  const links = useAnswer("/v1/kennels/{kennel_id}/dogs/{dog_id}/booklet-links", { kennel_id: known.kennel.kennel_id, dog_id: one.dog_id });
  const [made, setMade] = useState("");
  const [told, setTold] = useState("");
  const make = async () => {
    try {
      // The secret is shown once: it cannot come by the queue, which keeps no answers.
      const answer = await json(`${base}/booklet-links`, { method: "POST", body: { label: known.buyer(one.buyer_id) } });
      setMade(`${location.origin}/${address("booklet", answer.path.split("/").pop())}`);
      setTold("");
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setTold(error.status === 0 ? t("paper.offline") : error.message);
    }
  };
  const buyer = known.buyers.find(({ id }) => id === one.buyer_id);
  return html`<${Fold} label=${t("booklet.title")}>
    <div class="row"><${Paper} path=${`${base}/booklet.pdf?language=${language.peek()}`} name="booklet.pdf">${t("booklet.pdf")}<//><button onClick=${make}>${t("booklet.link")}</button></div>
    <p role="status">${told}</p>
    ${made && html`<label>${t("booklet.made")}<input class="long" readonly value=${made} onFocus=${(/** @type {any} */ event) => event.target.select()} /></label>
      ${buyer?.email && html`<a class="button" href=${`mailto:${buyer.email}?body=${encodeURIComponent(made)}`}>${t("booklet.mail")}</a>`}`}
    <ul class="lines-of">${(links.data?.items ?? []).map((link) => html`<li key=${link.id}>${link.label ?? ""} · ${fullDate(link.created_at.slice(0, 10))}
      <${Form} kennel=${known.kennel.kennel_id} draft=${`link/${link.id}`} says="says.link" fields=${[]} button=${t("booklet.withdraw")}
        call=${() => ({ method: "DELETE", path: `/dogs/${one.dog_id}/booklet-links/${link.id}` })} /></li>`)}</ul><//>`;
}
