// What spectral looks for: its rules for OpenAPI.
import { oas } from "@stoplight/spectral-rulesets";

/**
 * The rule, which judges an example once: in the document without references the same schema stands in hundreds of
 * places, and is compiled anew for each. What was good of one schema is good of its like, where the request or the
 * answer it stands in leaves out the same fields.
 */
function once(rule) {
  const judge = rule.then.function;
  const good = new Set();
  const judgedOnce = (target, options, context) => {
    const where = options.type === "media" && context.path[context.path[0] === "components" ? 1 : 3];
    const like = JSON.stringify([{ requestBodies: "requestBody" }[where] ?? where, target]);
    if (good.has(like)) return [];
    const found = judge(target, options, context) ?? [];
    if (found.length === 0) good.add(like);
    return found;
  };
  return { ...rule, then: { ...rule.then, function: judgedOnce } };
}

export default {
  extends: [oas],
  rules: {
    // Every operation has a summary (tests/program/document holds that). What it says whole needs no second
    // sentence: a description stands where there is more to know, and is worth reading then.
    "operation-description": "off",
    "oas3-valid-media-example": once(oas.rules["oas3-valid-media-example"]),
    "oas3-valid-schema-example": once(oas.rules["oas3-valid-schema-example"]),
  },
};
