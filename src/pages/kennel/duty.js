// Who is on duty tonight and later, and after how long it rings elsewhere.
import { html } from "../parts/html.js";
import { session } from "../parts/api.js";
import { now } from "../parts/clock.js";
import { Fold, Form } from "../parts/form.js";
import { useAnswer } from "../parts/read.js";
import { Shown } from "../parts/states.js";
import { localAt, moment, t } from "../parts/texts.js";
import { ahead, onDuty, tonight } from "./duty-turns.js";

/** @typedef {import("../parts/types.d.ts").Schema} Schema */
/** @typedef {import("../parts/form.js").Field} Field */

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, choices: Schema["RingChoices"] }} props */
export function Duty({ kennel, choices }) {
  const own = { kennel_id: kennel.kennel_id };
  const duty = useAnswer("/v1/kennels/{kennel_id}/duty", own);
  const members = useAnswer("/v1/kennels/{kennel_id}/members", own);
  return html`<h3>${t("duty.title")}</h3><${Shown} answers=${[duty, members]}>${() => {
    const turns = ahead(duty.data?.turns ?? [], now());
    const name = (/** @type {string} */ id) => members.data?.items.find((one) => one.person_id === id)?.name ?? t("banner.somebody");
    const put = (/** @type {Schema["DutyTurn"][]} */ all) => ({ method: "PUT", path: "/duty", seen: true, body: { turns: all } });
    const isOwner = kennel.role === "owner";
    return html`<p>${onDutyNow(turns, name)}</p><p>${afterwards(turns, choices)}</p>
      <ul class="lines-of turns">${turns.map((turn) => html`<li key=${`${turn.person_id}/${turn.begins_at}`}>${t("duty.turn", { name: name(turn.person_id), from: moment(turn.begins_at, now()), to: moment(turn.ends_at, now()) })}
        ${isOwner && html`<${Form} kennel=${kennel.kennel_id} draft=${`duty/${turn.begins_at}`} says="says.duty" fields=${[]} button=${t("duty.remove")} call=${() => put(turns.filter((one) => one !== turn))} />`}</li>`)}</ul>
      ${isOwner && html`<${Fold} label=${t("duty.add")}><${Turn} kennel=${kennel.kennel_id} members=${members.data?.items ?? []} call=${(/** @type {any} */ turn) => put([...turns, turn])} /><//>`}`;
  }}<//>`;
}

/** @param {Schema["DutyTurn"][]} turns @param {(id: string) => string} name */
function onDutyNow(turns, name) {
  const here = onDuty(turns, now());
  return here.length === 0 ? t("duty.nobody") : t("duty.now", { names: here.map((one) => t("duty.until", { name: name(one.person_id), to: moment(one.ends_at, now()) })).join(", ") });
}

/** When it rings with who looks at this. @param {Schema["DutyTurn"][]} turns @param {Schema["RingChoices"]} choices */
function afterwards(turns, { unseen_minutes: minutes, ways = [] }) {
  if (ways.length === 0) return t("duty.not_me");
  const here = onDuty(turns, now());
  if (here.length === 0 || here.some((one) => one.person_id === session.peek().who?.person.id)) return t("duty.me_at_once");
  return minutes === null || minutes === undefined ? t("duty.me_never") : t("duty.me_after", { count: minutes });
}

/** @param {{ kennel: string, members: { person_id: string, name: string }[], call: (turn: Schema["DutyTurn"]) => import("../parts/queue.js").Call }} props */
function Turn({ kennel, members, call }) {
  const [begins, ends] = tonight(localAt(now()));
  const fields = /** @type {Field[]} */ ([
    { name: "person_id", label: t("duty.who"), kind: "choice", required: true, options: members.map((one) => [one.person_id, one.name]) },
    { name: "begins_at", label: t("duty.from"), kind: "moment", required: true },
    { name: "ends_at", label: t("duty.to"), kind: "moment", required: true },
  ]);
  // The service names a turn by its place in the roster: what is wrong with it is said below all.
  return html`<${Form} kennel=${kennel} draft="duty" says="says.duty" fields=${fields} first=${{ begins_at: begins, ends_at: ends }} call=${call} />`;
}
