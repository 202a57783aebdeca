// What a pup is called across pages: by its name, else by the label that the service gives it.
import { collarName } from "./collars.js";
import { t } from "./texts.js";

/** A label of the service's ("red collar") in the person's language. @param {string} label */
export function labelled(label) {
  return label.endsWith(" collar") ? t("collar.of", { colour: collarName(label.slice(0, -" collar".length)) }) : label;
}

/**
 * @param {string} dog @param {{ dog_id: string, label: string }[]} pups
 * @param {{ id: string, call_name: string | null, name: string | null }[]} dogs
 */
export function labelOf(dog, pups, dogs) {
  const pup = pups.find((one) => one.dog_id === dog);
  if (pup) return labelled(pup.label);
  const one = dogs.find(({ id }) => id === dog);
  return one?.call_name ?? one?.name ?? t("dog.elsewhere");
}
