// The buttons of the night, as data: each opens one choice, and what is chosen is written at once. Two taps.

/** @typedef {{ says: string, event: Record<string, unknown> }} Option */
/** @typedef {{ key: string, options?: Option[], figure?: true, text?: "note" | "advice" }} Choice */

/** @param {string} kind @param {string} field @param {string[]} values @returns {Option[]} */
const each = (kind, field, values) =>
  values.map((value) => ({ says: `${kind}.${value}`, event: { kind, [field]: value } }));

/** @type {Choice[]} */
export const CHOICES = [
  { key: "contractions", options: each("contractions", "strength", ["strong", "weak", "resting"]) },
  { key: "sign", options: each("sign", "sign",
    ["nesting", "restless", "panting", "shivering", "vomiting", "refuses_food", "seeks_or_hides"]) },
  { key: "waters", options: [{ says: "waters.now", event: { kind: "waters" } }] },
  { key: "discharge", options: each("discharge", "colour",
    ["clear", "green_black", "red_brown", "bright_red", "foul"]) },
  { key: "placentas", options: [1, 2, 3].map((count) => ({ says: `placentas.${count}`, event: { kind: "placentas", count } })) },
  { key: "resuscitation", options: [
    { says: "resuscitation.breathes", event: { kind: "resuscitation", breathed: true } },
    { says: "resuscitation.not_yet", event: { kind: "resuscitation", breathed: false } },
  ] },
  { key: "temperature", figure: true },
  { key: "alarm", options: each("alarm", "alarm", ["pup_stuck", "collapse", "severe_pain", "heavy_bleeding", "fits"]) },
  { key: "vet_called", text: "advice" },
  { key: "note", text: "note" },
  { key: "finished", options: [
    { says: "finished.all_out", event: { kind: "finished" } },
    { says: "caesarean.now", event: { kind: "caesarean" } },
  ] },
];

/** The key of the text that names an event. @param {Record<string, any>} event */
export function nameOf(event) {
  const value = event["strength"] ?? event["sign"] ?? event["colour"] ?? event["alarm"];
  if (value) return `${event["kind"]}.${value}`;
  if (event["kind"] === "resuscitation") return event["breathed"] === false ? "resuscitation.not_yet" : "resuscitation.breathes";
  return `event.${event["kind"]}`;
}
