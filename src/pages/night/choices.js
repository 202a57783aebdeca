// The buttons of the night, as data: each opens one choice, and what is chosen is written at once. Two taps.

/** @typedef {{ says: string, event: Record<string, unknown> }} Option */
/** Words that belong to an event: the field, the text that asks for it, how long it may be. @typedef {{ name: string, says: string, most: number, must?: true }} Words */
/** `whom`: it is for the dam or for one of the pups. @typedef {{ key: string, options?: Option[], figure?: true, words?: Words[], whom?: true, hint?: string }} Choice */

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
  // What and how much is the vet's to say: nothing is proposed.
  { key: "given", whom: true, hint: "night.given_hint", words: [
    { name: "remedy", says: "night.given_what", most: 200, must: true },
    { name: "amount", says: "night.given_amount", most: 200 },
    { name: "advised_by", says: "night.given_by", most: 200 },
  ] },
  { key: "alarm", options: each("alarm", "alarm", ["pup_stuck", "collapse", "severe_pain", "heavy_bleeding", "fits"]) },
  { key: "vet_called", words: [{ name: "advice", says: "night.advice", most: 2000 }] },
  { key: "note", words: [{ name: "text", says: "night.note", most: 10_000, must: true }] },
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
