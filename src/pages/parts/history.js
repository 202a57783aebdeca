// What became of a row: who wrote what and when, and each earlier state brought back by an owner.
import { html, useState } from "./html.js";
import { Trouble, json } from "./api.js";
import { now } from "./clock.js";
import { differences } from "./differences.js";
import { changed } from "./live.js";
import { useAnswer } from "./read.js";
import { Shown } from "./states.js";
import { moment, t } from "./texts.js";

/** @typedef {import("./types.d.ts").Schema["ChangeAnswer"]} Change */
/** @param {{ kennel: import("./types.d.ts").MyKennel, rows: { id: string, label: string }[] }} props */
export function History({ kennel, rows }) {
  const [row, setRow] = useState(rows[0]?.id ?? "");
  return html`<div class="history">
    ${rows.length > 1 && html`<label class="choice">${t("history.of")}
      <select value=${row} onChange=${(/** @type {any} */ event) => setRow(event.target.value)}>
        ${rows.map(({ id, label }) => html`<option value=${id} selected=${id === row}>${label}</option>`)}</select></label>`}
    ${row && html`<${OfRow} key=${row} kennel=${kennel} row=${row} />`}
  </div>`;
}

/** @param {{ kennel: import("./types.d.ts").MyKennel, row: string }} props */
function OfRow({ kennel, row }) {
  const at = { kennel_id: kennel.kennel_id };
  const changes = useAnswer("/v1/kennels/{kennel_id}/changes", at, `?row_id=${row}`);
  const members = useAnswer("/v1/kennels/{kennel_id}/members", at);
  const [said, setSaid] = useState("");
  const bring = async (/** @type {Change} */ one) => {
    const last = changes.data?.items.at(-1);
    const version = /** @type {any} */ (last?.after)?.version ?? null;
    try {
      /** @type {import("./types.d.ts").Schema["RestoredRow"]} */
      const { brought, left_out: left } = await json(`/v1/kennels/${kennel.kennel_id}/changes/${one.sequence}/restore`, { method: "POST", body: { version } });
      setSaid([brought.length > 0 ? t("history.restored_with", { count: brought.length }) : t("history.restored"),
        ...left.map((row) => `${row.record.replace(/_/g, " ")}: ${row.why}`)].join(" "));
      changed();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setSaid(error.status === 0 ? t("paper.offline") : error.message);
    }
  };
  return html`<${Shown} answers=${[changes]}>${() => {
    const all = [...(changes.data?.items ?? [])].reverse();
    const who = (/** @type {string | null | undefined} */ id) =>
      members.data?.items.find((one) => one.person_id === id)?.name ?? t(id && members.data ? "history.former" : "banner.somebody");
    return html`<p role="status">${said}</p><ol class="lines-of">${all.map((one, place) => html`<li key=${one.sequence}>
      <p><strong>${moment(one.changed_at, now())}</strong> · ${who(one.person_id)} · ${t(`history.${one.action}`)}</p>
      ${one.action === "changed" && html`<ul>${differences(one.before, one.after).map(({ name, was, is }) =>
        html`<li><span lang="en">${name.replace(/_/g, " ")}</span>: ${was} → ${is}</li>`)}</ul>`}
      ${kennel.role === "owner" && place > 0 && one.after && html`<button onClick=${() => bring(one)}>${t("history.bring")}</button>`}
    </li>`)}</ol>`;
  }}<//>`;
}
