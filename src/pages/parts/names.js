// What a phone wrote before fields and addresses of the API got the names they have now, and has not sent yet: a
// night's lines must not be refused for that. Plain values in, plain values out.

/** @typedef {import("./queue.js").Item} Item */

const FIELDS = /** @type {Record<string, string>} */ ({ at: "happened_at", what: "remedy", reserved_until: "reservation_ends_on" });

/** @param {any} value @returns {any} */
function fieldsOf(value) {
  if (Array.isArray(value)) return value.map(fieldsOf);
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [FIELDS[name] ?? name, fieldsOf(one)]));
}

/** @param {string} path */
const pathOf = (path) => path.replace(/\/follow-ups-done$/, "/follow-ups").replace(/^\/rule-overrides(?=\/|$)/, "/rules/overrides");

/** The same with the names of now; one that has them already stays as it is. @param {Item} item @returns {Item} */
export function renamed(item) {
  const { row, call } = item;
  return {
    ...item,
    ...(row ? { row: { ...row, record: fieldsOf(row.record) } } : {}),
    ...(call ? { call: { ...call, path: pathOf(call.path), ...(call.body === undefined ? {} : { body: fieldsOf(call.body) }) } } : {}),
  };
}
