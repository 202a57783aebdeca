// Dogs taken in from a file, tried first; and all of the kennel taken along.
import { html, useState } from "../parts/html.js";
import { Trouble, ask } from "../parts/api.js";
import { changed } from "../parts/live.js";
import { Paper } from "../parts/paper.js";
import { t } from "../parts/texts.js";

/** @typedef {import("../parts/types.d.ts").MyKennel} MyKennel */
/** @typedef {import("../parts/types.d.ts").Schema["PedigreeImport"]} Report */

/** @param {{ kennel: MyKennel }} props */
export function Import({ kennel }) {
  const [file, setFile] = useState(/** @type {File | undefined} */ (undefined));
  const [report, setReport] = useState(/** @type {Report | undefined} */ (undefined));
  const [faults, setFaults] = useState(/** @type {{ pointer: string, detail: string }[]} */ ([]));
  const [busy, setBusy] = useState(false);
  const send = async (/** @type {boolean} */ dry) => {
    if (!file) return;
    setBusy(true);
    setFaults([]);
    setReport(undefined);
    try {
      const answer = await ask(`/v1/kennels/${kennel.kennel_id}/pedigrees/import?dry_run=${dry}`, { method: "POST", file });
      setReport(await answer.json());
      if (!dry) changed();
    } catch (error) {
      if (!(error instanceof Trouble)) throw error;
      setFaults(error.errors.length > 0 ? error.errors : [{ pointer: "", detail: error.status === 0 ? t("paper.offline") : error.message }]);
    }
    setBusy(false);
  };
  const choose = (/** @type {any} */ event) => {
    setFile(event.target.files[0]);
    setReport(undefined);
    setFaults([]);
  };
  const submit = (/** @type {Event} */ event) => {
    event.preventDefault();
    send(true);
  };
  return html`<form class="fields" onSubmit=${submit}><p>${t("data.import_how")}</p>
    <label>${t("data.file")}<input class="long" type="file" accept=".csv,text/csv" required onChange=${choose} /></label>
    <div class="row"><button class="main" disabled=${busy || !file}>${t("data.try")}</button>
      ${report?.dry_run && html`<button type="button" disabled=${busy} onClick=${() => send(false)}>${t("data.take_in")}</button>`}</div>
    <p role="status">${report && t(report.dry_run ? "data.would" : "data.did", { created: report.created, updated: report.updated, unchanged: report.unchanged })}</p>
    ${faults.length > 0 && html`<ul class="warn" role="alert" lang="en">${faults.map((fault) => html`<li>${fault.pointer} ${fault.detail}</li>`)}</ul>`}
  </form>`;
}

/** @param {{ kennel: MyKennel }} props */
export function Archive({ kennel }) {
  const base = `/v1/kennels/${kennel.kennel_id}`;
  return html`<p>${t("data.archive_how")}</p>
    <div class="row"><${Paper} path=${`${base}/archive`} name="kennel.zip">${t("data.archive_do")}<//>
      <${Paper} path=${`${base}/pedigrees/export`} name="dogs.csv">${t("data.export")}<//></div>`;
}
