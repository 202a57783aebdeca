// The page behind an invitation's link: whoever is invited, and signed in, joins.
import { html } from "../parts/html.js";
import { opened } from "../parts/api.js";
import { Foot } from "../parts/frame.js";
import { choose } from "../parts/kennel.js";
import { learn, t } from "../parts/texts.js";
import en from "../texts/en/kennel.js";
import de from "../texts/de/kennel.js";
import { useDirect } from "./secret.js";

learn({ en, de });

/** @param {{ id: string }} props `id`: the invitation's secret */
export function Join({ id }) {
  const { told, busy, run } = useDirect();
  const join = async () => {
    const joined = await run("/v1/invitations/accept", { token: id });
    if (!joined) return;
    choose(joined.kennel_id);
    await opened();
    location.hash = "#/";
  };
  return html`<div class="frame"><main id="main" tabindex="-1"><h1>denwright</h1><h2>${t("join.title")}</h2>
    <p>${t("join.how")}</p><button class="main" disabled=${busy} onClick=${join}>${t("join.do")}</button><p role="status">${told}</p>
    <p><a class="button" href="#/">${t("state.home")}</a></p></main><${Foot} /></div>`;
}
