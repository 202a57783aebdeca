// What a new owner tells of a dog, line by line: on their page and on the kennel's.
import { fullDate, learn, t } from "./texts.js";
import { weight } from "./units.js";
import en from "../texts/en/news.js";
import de from "../texts/de/news.js";

learn({ en, de });

/** @param {import("./types.d.ts").Schema["BuyerNews"]} news @returns {string[]} */
export function newsOf(news) {
  return [
    news.weight_g ? `${weight(news.weight_g)}${news.full_grown ? `, ${t("news.full_grown")}` : ""}` : "",
    news.observed_on ? t("news.seen_on", { day: fullDate(news.observed_on) }) : "",
    ...[["news.colour", news.colour], ["news.markings", news.markings], ["news.temperament", news.temperament]].map(([key, text]) => (text ? `${t(String(key))}: ${text}` : "")),
    ...(news.health ?? []).map((one) => [fullDate(one.happened_on), t(`told.${one.kind}`), one.finding, one.note].filter(Boolean).join(" · ")),
    news.message ?? "",
  ].filter(Boolean);
}
