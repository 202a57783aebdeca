// What comes in from files, tried first; and all of the kennel taken along.
import { html, useState } from "../parts/html.js";
import { Trouble, ask } from "../parts/api.js";
import { changed } from "../parts/live.js";
import { Paper } from "../parts/paper.js";
import { t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
/** @typedef {import("../parts/types.d.ts").Schema["ImportReport"]} Report */

const KINDS = ["dogs", "weights", "temperatures", "health-events", "microchips", "buyers"];
const WORKBOOK = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet";

/** @param {{ kennel: MyKennel }} props */
export function Import({ kennel }) {
  const [file, setFile] = useState(/** @type {File | undefined} */ (undefined));
  const [kind, setKind] = useState("dogs");
  const [order, setOrder] = useState("");
  const [report, setReport] = useState(/** @type {Report | undefined} */ (undefined));
  const [faults, setFaults] = useState(/** @type {{ pointer: string, detail: string }[]} */ ([]));
  const [busy, setBusy] = useState(false);
  const forget = () => {
    setReport(undefined);
    setFaults([]);
  };
  const send = async (/** @type {boolean} */ dry) => {
    if (!file) return;
    setBusy(true);
    forget();
    // Not every system knows what kind of file it is.
    const type = file.name.toLowerCase().endsWith(".xlsx") ? WORKBOOK : "text/csv";
    const query = `dry_run=${dry}${order && `&date_order=${order}`}`;
    try {
      const sent = new File([file], file.name, { type });
      const answer = await ask(`/v1/kennels/${kennel.kennel_id}/imports/${kind}?${query}`, { method: "POST", file: sent });
      const done = /** @type {Report} */ (await answer.json());
      setReport(done);
      setFaults(done.errors);
      if (!dry) changed();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setFaults(error.errors.length > 0 ? error.errors : [{ pointer: "", detail: error.status === 0 ? t("paper.offline") : error.message }]);
    }
    setBusy(false);
  };
  const choose = (/** @type {(value: any) => void} */ set, /** @type {(target: any) => any} */ of) => (/** @type {any} */ event) => {
    set(of(event.target));
    forget();
  };
  const value = (/** @type {any} */ target) => target.value;
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    send(true);
  };
  const counts = report && { created: report.created, updated: report.updated, unchanged: report.unchanged };
  return html`<form class="fields" onSubmit=${submit}><p>${t("data.import_how")}</p>
    <label>${t("data.kind")}<select onChange=${choose(setKind, value)}>${KINDS.map((name) => html`<option value=${name} selected=${name === kind}>${t(`data.kind.${name}`)}</option>`)}</select></label>
    <label>${t("data.order")}<select onChange=${choose(setOrder, value)}>${["", "dmy", "mdy", "ymd"].map((name) => html`<option value=${name} selected=${name === order}>${t(`data.order.${name || "iso"}`)}</option>`)}</select></label>
    <label>${t("data.file")}<input class="long" type="file" accept=${`.csv,.tsv,.xlsx,text/csv,${WORKBOOK}`} required onChange=${choose(setFile, (target) => target.files[0])} /></label>
    <div class="row"><button class="main" disabled=${busy || !file}>${t("data.try")}</button>
      ${report?.dry_run && report.refused === 0 && html`<button type="button" disabled=${busy} onClick=${() => send(false)}>${t("data.take_in")}</button>`}</div>
    <p role="status">${report && counts && t(report.dry_run ? "data.would" : "data.did", counts)}</p>
    ${report && report.made_up.length > 0 && html`<p>${t("data.made_up")}</p><ul>${report.made_up.map((parent) => html`<li>${t("data.line", { line: parent.line })}: ${parent.name}</li>`)}</ul>`}
    ${faults.length > 0 && html`<ul class="warn" role="alert">${faults.map((fault) => html`<li>${fault.pointer} ${fault.detail}</li>`)}</ul>`}
  </form>`;
}

/** @param {{ kennel: MyKennel }} props */
export function Archive({ kennel }) {
  const base = `/v1/kennels/${kennel.kennel_id}`;
  return html`<p>${t("data.archive_how")}</p>
    <div class="row"><${Paper} path=${`${base}/archive`} name="kennel.zip">${t("data.archive_do")}<//>
      <${Paper} path=${`${base}/pedigrees/export`} name="dogs.csv">${t("data.export")}<//></div>`;
}
