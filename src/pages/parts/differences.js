// What differs between two states of a row.

/** Of no interest to who looks at what was written. */
const PLAIN = new Set(["id", "version", "created_at", "updated_at", "kennel_id", "confirmed"]);

/** What differs between two states of a row. @param {any} before @param {any} after */
export function differences(before, after) {
  const names = new Set([...Object.keys(before ?? {}), ...Object.keys(after ?? {})]);
  return [...names].filter((name) => !PLAIN.has(name) && !name.endsWith("_id")
    && JSON.stringify(before?.[name] ?? null) !== JSON.stringify(after?.[name] ?? null))
    .map((name) => ({ name, was: told(before?.[name]), is: told(after?.[name]) }));
}

/** @param {any} value */
function told(value) {
  if (value === null || value === undefined || value === "") return "–";
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}
