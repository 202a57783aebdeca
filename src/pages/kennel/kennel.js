// The kennel: people, invitations and roles, what rings and who is on duty, shares and what
// they come to in money and pups, the rules and plans with their
// sources, what is taken in and taken along, its end, calendar links, and the safety of one's own sign-in.
import { html } from "../parts/html.js";
import { Fold } from "../parts/form.js";
import { Frame } from "../parts/frame.js";
import "../parts/record.js";
import { learn, t } from "../parts/texts.js";
import en from "../texts/en/kennel.js";
import de from "../texts/de/kennel.js";
import { Calendars } from "./calendars.js";
import { Archive, Import } from "./data.js";
import { Dogs } from "./dogs.js";
import { DeleteKennel } from "./leaving.js";
import { People } from "./people.js";
import { Rings } from "./rings.js";
import { Plans, Rules } from "./rules.js";
import { Security } from "./security.js";
import { Units } from "./settings.js";
import { Shares } from "./shares.js";
import { Statements } from "./statements.js";

learn({ en, de });

/** @param {{ kennel: import("../parts/types.d.ts").MyKennel }} props */
export function Kennel({ kennel }) {
  const isOwner = kennel.role === "owner";
  return html`<${Frame} title=${t("kennel.title")} kennel=${kennel.kennel_id} wide=${true}>
    <div class="desk"><div>
      <${People} kennel=${kennel} />
      <${Rings} kennel=${kennel} />
      <${Shares} kennel=${kennel} />
      ${(isOwner || kennel.role === "co_owner") && html`<${Statements} kennel=${kennel} />`}
      <${Security} />
      ${isOwner && html`<section aria-labelledby="settings"><h2 id="settings">${t("settings.title")}</h2><${Units} kennel=${kennel} /></section>`}
    </div><div>
      <${Dogs} kennel=${kennel} />
      <${Rules} kennel=${kennel} />
      <${Plans} kennel=${kennel} />
      <${Calendars} kennel=${kennel} />
      ${isOwner && html`<section aria-labelledby="data"><h2 id="data">${t("data.title")}</h2>
        <${Fold} label=${t("data.import")}><${Import} kennel=${kennel} /><//><${Fold} label=${t("data.archive")}><${Archive} kennel=${kennel} /><//>
        <${DeleteKennel} kennel=${kennel} /></section>`}
    </div></div>
  <//>`;
}
