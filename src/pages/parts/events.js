// Server-sent events in what came of a stream so far.

/**
 * Splits what came into events and a rest (server-sent events, as the HTML standard has them).
 * @param {string} text
 */
export function eventsIn(text) {
  const blocks = text.split(/\r?\n\r?\n/);
  const rest = blocks.pop() ?? "";
  const events = blocks
    .map((block) => block.split(/\r?\n/))
    .filter((lines) => lines.some((line) => line.startsWith("data:")))
    .map((lines) => lines.find((line) => line.startsWith("id:"))?.slice(3).trim());
  return { events, rest };
}
