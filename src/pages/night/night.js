// The night of a whelping, for one thumb in the dark: how long since the last pup, how many are out and to
// come, whether to ring; a button for each thing to write. A tap is kept on the phone first and shown at once.
import { html, useSignal, useState, useTick } from "../parts/html.js";
import { now } from "../parts/clock.js";
import { collarName } from "../parts/collars.js";
import { Frame } from "../parts/frame.js";
import { writes } from "../parts/kennel.js";
import { queue } from "../parts/kept.js";
import { useAnswer } from "../parts/read.js";
import { address } from "../parts/router.js";
import { Shown } from "../parts/states.js";
import { span, t, time } from "../parts/texts.js";
import { wrote } from "../parts/undo.js";
import { newId } from "../parts/uuid.js";
import { Born, Looking, Pup } from "./birth.js";
import { CHOICES } from "./choices.js";
import { Log } from "./log.js";
import { Panel } from "./panel.js";
import { merged, nextCollar, standing } from "./record.js";

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, id: string }} props */
export function Night({ kennel, id }) {
  const at = { kennel_id: kennel.kennel_id, litter_id: id };
  const litter = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}", at);
  const status = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/whelping/status", at);
  const births = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/births", at, "?limit=100");
  const lines = useAnswer("/v1/kennels/{kennel_id}/litters/{litter_id}/whelping", at, "?limit=200");
  const title = litter.data?.name ?? t("night.title");
  return html`<${Frame} title=${title} kennel=${kennel.kennel_id} litter=${id} tight=${true}>
    <${Shown} answers=${[status, births, lines]}>${() => html`<${Whelping} kennel=${kennel} litter=${id}
      status=${status.data} births=${births.data?.items} lines=${lines.data?.items} />`}<//>
  <//>`;
}

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel, litter: string, status: any, births: any[], lines: any[] }} props */
function Whelping({ kennel, litter, status, births, lines }) {
  const items = useSignal(queue.items);
  const particulars = useAnswer("/v1/kennels/{kennel_id}", { kennel_id: kennel.kennel_id });
  const log = merged(litter, births, lines, items);
  const state = standing(status, log);
  const [open, setOpen] = useState(/** @type {string | undefined} */ (undefined));
  const [looked, setLooked] = useState(/** @type {import("./record.js").Line | undefined} */ (undefined));
  const [tapped, setTapped] = useState(0);
  const show = (/** @type {string | undefined} */ key) => {
    setTapped(Date.now());
    setOpen(key);
  };
  const write = (/** @type {Record<string, any>} */ event, /** @type {string} */ says) => {
    const item = queue.add({ kennel: kennel.kennel_id, says,
      row: { kind: "whelping_line", subject_id: litter, record: { happened_at: new Date(tapped).toISOString(), event } } });
    wrote(t("wrote", { what: t(says) }), [item]);
    setOpen(undefined);
  };
  const born = (/** @type {Record<string, any>} */ fields) => {
    const worn = log.filter((line) => line.kind === "birth").map((line) => line.record["collar"]).filter(Boolean);
    const collar = nextCollar(status.next_collar, worn, particulars.data?.collars ?? []);
    const item = queue.add({ kennel: kennel.kennel_id, says: "event.birth", row: { kind: "birth", subject_id: litter,
      record: { born_at: new Date(tapped).toISOString(), dog_id: newId(), outcome: "alive", collar, ...fields } } });
    wrote(t("wrote", { what: t("event.birth") }), [item]);
    setOpen(`line/${item.id}`);
  };
  const pups = [...log].reverse().filter((line) => line.kind === "birth" && line.record["outcome"] === "alive" && line.record["ordinal"]).map(({ record }) =>
    ({ ordinal: record["ordinal"], label: `${record["ordinal"]}${record["collar"] ? ` · ${collarName(record["collar"])}` : ""}` }));
  const choice = CHOICES.find((one) => one.key === open);
  const chosen = open?.startsWith("line/") ? log.find((line) => `line/${line.id}` === open) : undefined;
  return html`<div class="night">
    <${Clocks} state=${state} status=${status} />
    ${!writes(kennel.role)
      ? html`<p>${t("night.read_only")}</p>`
      : open === "birth" ? html`<${Born} born=${born} at=${tapped} back=${() => setOpen(undefined)} />`
      : choice ? html`<${Panel} key=${choice.key} choice=${choice} litter=${litter} pups=${pups} write=${write} back=${() => setOpen(undefined)} />`
      : chosen ? html`<${Pup} key=${chosen.id} line=${chosen} kennel=${kennel.kennel_id} litter=${litter} back=${() => setOpen(undefined)}
          look=${() => { setLooked(chosen); setOpen("look"); }} />`
      : open === "look" && looked ? html`<${Looking} line=${looked} kennel=${kennel.kennel_id} litter=${litter} done=${() => setOpen(`line/${looked.id}`)} />`
      : html`<div class="taps">
          <button class="main wide" onClick=${() => show("birth")}>${t("event.birth")}</button>
          ${CHOICES.map((one) => html`<button key=${one.key} class=${`tap-${one.key}`} onClick=${() => show(one.key)}>${t(`event.${one.key}`)}</button>`)}
        </div>`}
    ${state.alive > 0 && html`<p><a class="button" href=${address("newborns", litter)}>${t("newborns.title")}</a></p>`}
    <${Log} log=${log} open=${(/** @type {string} */ id) => show(`line/${id}`)} />
    <p class="standing">${status.advice}</p>
  </div>`;
}

/** @param {{ state: ReturnType<typeof standing>, status: import("../parts/types.d.ts").Schema["WhelpingStatus"] }} props */
function Clocks({ state, status }) {
  useTick(1000);
  const began = status.stage_began_at ? Date.parse(status.stage_began_at) : undefined;
  const range = state.atMost === undefined ? undefined
    : state.atLeast === state.atMost ? String(state.atMost) : `${state.atLeast ?? 0}–${state.atMost}`;
  return html`<section class="clocks" aria-label=${t("night.standing")}>
    <p class="since" data-testid="since">${state.lastAt === undefined
      ? html`<span class="big">${t(`stage.${state.stage}`)}</span> <span>${began ? t("night.stage_since", { span: span((now() - began) / 60_000) }) : ""}</span>`
      : html`<span class="big">${span((now() - state.lastAt) / 60_000)}</span> <span>${t("night.since_pup", { at: time(state.lastAt) })}</span>`}</p>
    <p class="counts" data-testid="counts"><strong>${t("night.out", { count: state.out })}</strong>
      ${range !== undefined && state.stage !== "all_out" && html` · ${t("night.to_come", { range })}`}
      ${state.lastAt !== undefined && html` · ${t(`stage.${state.stage}`)}`}
      ${status.placentas_missing > 0 && html` · ${t("night.placentas_missing", { count: status.placentas_missing })}`}</p>
    ${status.when_to_call && html`<details class="why call-${status.call}"><summary><span class="line">${status.when_to_call}</span></summary>
      ${status.limits.map((limit) => html`<p>${time(limit.reached_at)} · <span lang="en">${limit.source}</span></p>`)}</details>`}
  </section>`;
}
