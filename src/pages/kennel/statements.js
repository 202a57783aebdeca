// Money and pups between co-owners: what each one's part of a span of days comes to, and of what.
import { html, useState } from "../parts/html.js";
import { session, tableOf } from "../parts/api.js";
import { now } from "../parts/clock.js";
import { Fold } from "../parts/form.js";
import { Paper } from "../parts/paper.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { dayOf, fullDate, money, t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */

/** @param {{ kennel: MyKennel }} props */
export function Statements({ kennel }) {
  const own = { kennel_id: kennel.kennel_id };
  const today = dayOf(now());
  const [[from, to], setSpan] = useState([`${today.slice(0, 4)}-01-01`, today]);
  const span = `?first_on=${from}&last_on=${to}`;
  const all = useAnswer("/v1/kennels/{kennel_id}/statements", own, span);
  const members = useAnswer("/v1/kennels/{kennel_id}/members", own);
  const named = (/** @type {string} */ id) => (id === kennel.kennel_id ? t("statements.kennel") : members.data?.items.find((one) => one.person_id === id)?.name
    ?? (id === session.peek().who?.person.id ? session.peek().who?.person.name : undefined) ?? t("banner.somebody"));
  const day = (/** @type {(value: string) => [string, string]} */ set) => (/** @type {any} */ event) => event.target.value && setSpan(set(event.target.value));
  return html`<section aria-labelledby="statements"><h2 id="statements">${t("statements.title")}</h2>
    <p>${t("statements.how")}</p>
    <div class="row"><label>${t("statements.from")} <input type="date" required value=${from} max=${to} onChange=${day((value) => [value, to])} /></label>
      <label>${t("statements.to")} <input type="date" required value=${to} min=${from} onChange=${day((value) => [from, value])} /></label></div>
    <${Shown} answers=${[all]}>${() => {
      const rows = all.data?.items ?? [];
      const holders = [...new Set(rows.map((row) => row.holder_id))];
      const path = `/v1/kennels/${kennel.kennel_id}/statements`;
      return html`${rows.length === 0 && html`<p>${t("statements.none")}</p>`}
        <ul>${holders.map((holder) => html`<li key=${holder}><${Fold} label=${html`<span class="lines"><strong>${named(holder)}</strong>
            ${rows.filter((row) => row.holder_id === holder).map((row) => html`<span key=${row.currency}>${t("statements.balance", { sum: money(row.balance_minor, row.currency) })}</span>`)}</span>`}>
          <${OfHolder} kennel=${kennel} holder=${holder} span=${span} /><//></li>`)}</ul>
        ${rows.length > 0 && html`<${Paper} path=${`${path}${span}`} name=${`statements-${from}-${to}.csv`} of=${tableOf}>${t("statements.table")}<//>`}`;
    }}<//></section>`;
}

/** @param {{ kennel: MyKennel, holder: string, span: string }} props */
function OfHolder({ kennel, holder, span }) {
  const answer = useAnswer("/v1/kennels/{kennel_id}/statements/{holder_id}", { kennel_id: kennel.kennel_id, holder_id: holder }, span);
  return html`<${Shown} answers=${[answer]}>${() => {
    const one = /** @type {Schema["HolderStatement"]} */ (answer.data);
    return html`${one.sums.map((sum) => html`<p key=${sum.currency}>${t("statements.sums", { income: money(sum.income_minor, sum.currency), refunded: money(sum.refunded_minor, sum.currency), costs: money(sum.costs_minor, sum.currency) })}${" "}
        <strong>${t("statements.balance", { sum: money(sum.balance_minor, sum.currency) })}</strong></p>`)}
      ${one.litters.length > 0 && html`<h3>${t("statements.pups")}</h3><ul class="lines-of">${one.litters.map((litter) => html`<li>${litter.name ?? t("statements.one_pup")} · ${fullDate(litter.whelped_on)} · ${t("statements.of_pups", { whole: litter.whole_pups, divided: litter.divided })}${litter.entitled && litter.entitled.denominator !== 1 ? ` · ${t("statements.entitled", { share: told(litter.entitled) })}` : ""}</li>`)}</ul>`}
      <h3>${t("statements.lines")}</h3>
      <ul class="lines-of">${one.items.map((line) => html`<li key=${line.entry_id}><p>${fullDate(line.booked_on)} · ${t(`money_kind.${line.kind}`)}${line.about ? html` · <span>${line.about}</span>` : ""}</p>
        <p><strong>${money(line.part_minor, line.currency)}</strong> ${t("statements.of_sum", { sum: money(line.amount_minor, line.currency) })}${held(line.share)}</p></li>`)}</ul>
      <${Paper} path=${`/v1/kennels/${kennel.kennel_id}/statements/${holder}${span}`} name=${`statement-${one.first_on}-${one.last_on}.csv`} of=${tableOf}>${t("statements.table_of")}<//>`;
  }}<//>`;
}

/** @param {Schema["ShareHeld"]} share */
const told = (share) => `${share.numerator}/${share.denominator}`;
/** The whole is told by the sum itself. @param {Schema["ShareHeld"] | null | undefined} share */
const held = (share) => (share && share.denominator !== 1 ? ` · ${t("statements.share", { share: told(share) })}` : "");
