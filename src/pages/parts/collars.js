// A pup's collar: its colour and its name, never the colour alone; each swatch has an outline, so that white
// shows on light and black on dark. Two bands are two halves.
import { html } from "./html.js";
import { t } from "./texts.js";

/** Colours for the standard names; a collar with a name of the kennel's own has its name alone. */
const COLOURS = /** @type {Record<string, string>} */ ({
  red: "#d32f2f", blue: "#1e5fd0", green: "#2e8b3d", yellow: "#f4d21f", white: "#ffffff", black: "#101010",
  orange: "#f28c1e", purple: "#7b3fa0", pink: "#f29ac0", brown: "#7a4a25", grey: "#8f8f8f", turquoise: "#2cb5b0",
});

/** @param {string} name */
export function collarName(name) {
  return name
    .split(" and ")
    .map((band) => (COLOURS[band.toLowerCase()] ? t(`collar.${band.toLowerCase()}`) : band))
    .join(` ${t("and")} `);
}

/** @param {{ name: string | null | undefined, fallback?: string }} props */
export function Collar({ name, fallback }) {
  if (!name) return html`<span class="collar">${fallback ?? t("collar.none")}</span>`;
  const bands = name.split(" and ").map((band) => COLOURS[band.toLowerCase()]);
  const [first, second = first] = bands;
  return html`<span class="collar">
    ${first ? html`<span class="swatch" aria-hidden="true" style=${{ "--first": first, "--second": second ?? first }}></span>` : null}
    <span>${collarName(name)}</span>
  </span>`;
}

/** A label of the service's ("red collar", "pup 3"), with its swatch when it names a standard collar. @param {{ label: string }} props */
export function Label({ label }) {
  const name = label.endsWith(" collar") ? label.slice(0, -" collar".length) : undefined;
  return name ? html`<${Collar} name=${name} />` : html`<span class="collar">${label}</span>`;
}
