// The wall: every alarm, all litters and dams, today's tasks with who does them; read across the room, on a
// phone, and printed.
import { html, useTick } from "../parts/html.js";
import { byGravity, LevelMark } from "../parts/banner.js";
import { now } from "../parts/clock.js";
import { Label } from "../parts/collars.js";
import { Frame } from "../parts/frame.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown } from "../parts/states.js";
import { date, dayOf, moment, number, t, time } from "../parts/texts.js";
import { weight } from "../parts/units.js";
import { litterLine } from "../start/start.js";

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Wall({ kennel }) {
  useTick(30_000);
  const at = { kennel_id: kennel.kennel_id };
  const day = dayOf(now());
  const today = useAnswer("/v1/kennels/{kennel_id}/today", at);
  const tasks = useAnswer("/v1/kennels/{kennel_id}/tasks", at, `?due_by=${day}`);
  const members = useAnswer("/v1/kennels/{kennel_id}/members", at);
  return html`<${Frame} title=${t("wall.of", { kennel: kennel.name })} kennel=${kennel.kennel_id} wide=${true}
      beside=${html`<p class="clock" data-testid="clock">${date(day)} · ${time(now())}</p>`}>
    <div class="wall">
      <section aria-labelledby="wall-alarms"><h2 id="wall-alarms">${t("wall.alarms")}</h2>
        <${Shown} answers=${[today]}>${() => html`<${Alarms} today=${today.data} />`}<//></section>
      <section aria-labelledby="wall-tasks"><h2 id="wall-tasks">${t("wall.tasks")}</h2>
        <${Shown} answers=${[tasks]}>${() => html`<${Tasks} tasks=${tasks.data?.items ?? []} members=${members.data?.items ?? []} />`}<//></section>
      <section aria-labelledby="wall-litters"><h2 id="wall-litters">${t("home.litters")}</h2>
        <${Shown} answers=${[today]}>${() => html`<${Litters} today=${today.data} />`}<//></section>
    </div>
    ${today.data && html`<p class="standing">${today.data.standing_line}</p>`}
  <//>`;
}

/** @typedef {import("../parts/types.d.ts").Schema} Schema */

/** @param {{ today: Schema["TodayBoard"] }} props */
function Alarms({ today }) {
  const alarms = byGravity(today.wrong);
  if (alarms.length === 0) return html`<p>${t("banner.none")}</p>`;
  return html`<ul class="alarms">${alarms.map((alarm) => html`<li class="alarm" key=${alarm.id} data-level=${alarm.level}>
    <p class="what"><${LevelMark} level=${alarm.level} /> <span>${alarm.what}</span></p>
    <details class="why"><summary><span class="line">${alarm.why}</span></summary>
      <p>${t("banner.source")} <span lang="en">${alarm.source}</span></p></details>
    ${alarm.seen && html`<p class="seen">${t("banner.seen", { name: alarm.seen.name ?? t("banner.somebody"), at: moment(alarm.seen.seen_at, now()) })}</p>`}
  </li>`)}</ul>`;
}

/** @param {{ tasks: Schema["TaskLine"][], members: { person_id: string, name: string }[] }} props */
function Tasks({ tasks, members }) {
  const due = tasks.filter((task) => ["overdue", "due_today", "open"].includes(task.status));
  if (due.length === 0) return html`<p>${t("wall.no_tasks")}</p>`;
  const who = (/** @type {string | null | undefined} */ id) => members.find((one) => one.person_id === id)?.name;
  return html`<ul class="tasks">${due.map((task) => html`<li key=${task.key} data-status=${task.status}>
    <span>${task.title}</span>
    <span class="who">${[task.place, who(task.assignee_id) ?? t("wall.nobody"), task.days_late > 0 ? t("wall.late", { count: task.days_late }) : ""].filter(Boolean).join(" · ")}</span>
  </li>`)}</ul>`;
}

/** @param {{ today: Schema["TodayBoard"] }} props */
function Litters({ today }) {
  return html`<ul class="cards">${today.litters.map((litter) => html`<li class="card" key=${litter.litter_id}>
    <h3><a href=${address(litter.pups.length > 0 ? "weigh" : "night", litter.litter_id)}>${litter.name ?? t("litter.unnamed")}</a></h3>
    <p>${litterLine(litter)}</p>
    ${litter.pups.length > 0 && html`<ul class="pups">${litter.pups.map((pup) => html`<li key=${pup.dog_id}>
      <${Label} label=${pup.label} /><span>${pup.last ? weight(pup.last.weight_g) : "–"}</span>
      <span>${typeof pup.gain_since_yesterday_fraction === "number" ? `${pup.gain_since_yesterday_fraction >= 0 ? "+" : "−"}${number(Math.abs(pup.gain_since_yesterday_fraction) * 100, 1)} %` : ""}</span>
    </li>`)}</ul>`}
  </li>`)}</ul>`;
}
