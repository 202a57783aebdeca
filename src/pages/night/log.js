// What was written this night, the latest first; a tap on a line opens it.
import { html } from "../parts/html.js";
import { Collar } from "../parts/collars.js";
import { now } from "../parts/clock.js";
import { moment, t } from "../parts/texts.js";
import { warmth, weight } from "../parts/units.js";
import { nameOf } from "./choices.js";

const KINDS = ["contractions", "sign", "discharge", "alarm"];

/** @param {{ log: import("./record.js").Line[], open: (id: string) => void }} props */
export function Log({ log, open }) {
  return html`<section class="log" aria-label=${t("night.log")}>
    <h2>${t("night.log")}</h2>
    ${log.length === 0 && html`<p>${t("night.log_empty")}</p>`}
    <ol>${log.map((line) => html`<li key=${line.id} data-state=${line.state}>
      <button onClick=${() => open(line.id)}>
        <span class="time">${moment(line.at, now())}</span>
        <span class="said">${line.kind === "birth" ? birth(line.record) : event(line.record["event"])}</span>
        <span class="mark">${t(`mark.${line.state}`)}</span>
      </button></li>`)}</ol>
  </section>`;
}

/** @param {Record<string, any>} record */
function birth(record) {
  const { sex, weight_g: grams, outcome } = record;
  return html`${t("event.birth")} <${Collar} name=${record["collar"]} />${" "}
    ${[sex ? t(`birth.${sex}`) : "", grams ? weight(grams) : "", outcome === "stillborn" ? t("birth.stillborn") : ""].filter(Boolean).join(", ")}`;
}

/** @param {Record<string, any>} event */
function event(event) {
  const name = nameOf(event);
  // One of several kinds is told with what it is one of.
  const said = KINDS.includes(event["kind"]) ? `${t(`event.${event["kind"]}`)}: ${t(name)}` : t(name);
  if (event["kind"] === "temperature") return `${said} ${warmth(event["temperature_c"])}`;
  if (event["kind"] === "placentas") return `${said}: ${event["count"]}`;
  const whom = event["given_to"] === "pup" && event["ordinal"] ? t("given_to.pup_number", { number: event["ordinal"] }) : event["given_to"] ? t(`given_to.${event["given_to"]}`) : "";
  const words = [whom, event["text"], event["advice"], event["remedy"], event["amount"], event["advised_by"]].filter(Boolean).join(" · ");
  return words ? `${said}: ${words}` : said;
}
