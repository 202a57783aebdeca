// Until when pups are newborns here: the look over them, feeding and fading are of these weeks.
import { now } from "../parts/clock.js";
import { dayOf } from "../parts/texts.js";

const NEWBORN_DAYS = 28;

/** Whole days of the kennel's calendar since a day. @param {string} day */
export const daysSince = (day) => Math.round((Date.parse(dayOf(now())) - Date.parse(day)) / 86_400_000);

/** @param {number | null | undefined} days of age */
export const isNewborn = (days) => typeof days === "number" && days <= NEWBORN_DAYS;
