// What a pup is called across pages: by its name, else by the label that the service gives it.
import { t } from "./texts.js";

/**
 * @param {string} dog @param {{ dog_id: string, label: string }[]} pups
 * @param {{ id: string, call_name: string | null, name: string | null }[]} dogs
 */
export function labelOf(dog, pups, dogs) {
  const pup = pups.find((one) => one.dog_id === dog);
  if (pup) return pup.label;
  const one = dogs.find(({ id }) => id === dog);
  return one?.call_name ?? one?.name ?? t("dog.elsewhere");
}
