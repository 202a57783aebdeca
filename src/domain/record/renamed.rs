//! Names that have changed: of fields whose column is still called as before, and of members of values that
//! were stored before the change, in the log of changes and in archives.

use serde_json::{Map, Value};

/// The name of the field that is stored in `column`.
///
/// Of a list, the stored names with those of the fields; all that is not in it is called the same.
pub const fn field_of<'n>(stored_as: &[(&str, &'n str)], column: &'n str) -> &'n str {
    let mut at = 0;
    while at < stored_as.len() {
        if is_same(stored_as[at].0, column) {
            return stored_as[at].1;
        }
        at += 1;
    }
    column
}

/// Whether two names are one, also where no comparison of texts may be called.
pub const fn is_same(one: &str, other: &str) -> bool {
    let (one, other) = (one.as_bytes(), other.as_bytes());
    if one.len() != other.len() {
        return false;
    }
    let mut at = 0;
    while at < one.len() {
        if one[at] != other[at] {
            return false;
        }
        at += 1;
    }
    true
}

/// A row with its fields by the names that they have in JSON, and its values as they are written now.
pub fn named_now(stored_as: &[(&str, &str)], row: Map<String, Value>) -> Map<String, Value> {
    row.into_iter()
        .map(|(column, mut value)| {
            renew(&column, &mut value);
            (field_of(stored_as, &column).to_owned(), value)
        })
        .collect()
}

/// Gives members of a column's value the names that they have now; whether any had another.
pub fn renew(column: &str, value: &mut Value) -> bool {
    match column {
        "ties" => each(value, |tie| renamed(tie, &[("at", "happened_at")])),
        "closed" => each(value, |span| renamed(span, &[("from", "first_on"), ("to", "last_on")])),
        "event" => renamed(value, &[("what", "remedy")]),
        "tasks" => {
            each(value, |task| renamed(task, &[("of_use_days", "useful_days"), CONFIRMATION]))
        }
        "supplies" => each(value, |supply| renamed(supply, &[CONFIRMATION])),
        "steps" => each(value, renew_step),
        "plan" => {
            let named = renamed(value, &[("by_default", "default")]);
            let steps = value.get_mut("steps").is_some_and(|steps| each(steps, renew_step));
            named | steps
        }
        _ => false,
    }
}

/// How a figure was confirmed.
const CONFIRMATION: (&str, &str) = ("status", "confirmation");

/// What days are counted from.
const ANCHOR: (&str, &str) = ("from", "anchor");

fn renew_step(step: &mut Value) -> bool {
    let mut named = renamed(step, &[CONFIRMATION]);
    if let Some(anchor) = step.get_mut("anchor") {
        named |= renamed(anchor, &[ANCHOR]);
    }
    if let Some(repeat) = step.get_mut("repeat") {
        named |= renamed(repeat, &[("until", "end")]);
        if let Some(end) = repeat.get_mut("end") {
            named |= renamed(end, &[ANCHOR]);
        }
    }
    named
}

fn each(value: &mut Value, mut renew: impl FnMut(&mut Value) -> bool) -> bool {
    let items = value.as_array_mut().into_iter().flatten();
    items.fold(false, |any, item| renew(item) | any)
}

fn renamed(value: &mut Value, names: &[(&str, &str)]) -> bool {
    let Value::Object(members) = value else { return false };
    let mut any = false;
    for (former, now) in names {
        if members.contains_key(*now) {
            continue;
        }
        if let Some(member) = members.remove(*former) {
            members.insert((*now).to_owned(), member);
            any = true;
        }
    }
    any
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn a_field_is_named_by_its_column_or_otherwise() {
        const STORED_AS: &[(&str, &str)] = &[("at", "happened_at")];
        assert_eq!(field_of(STORED_AS, "at"), "happened_at");
        assert_eq!(field_of(STORED_AS, "note"), "note");
        assert_eq!(field_of(&[], "at"), "at");
    }

    #[test]
    fn values_of_before_get_the_names_of_now() {
        let mut steps = json!([{
            "key": "a", "status": "verified", "anchor": { "from": "birth" },
            "repeat": { "until": { "from": "weaning" }, "days": 14 },
        }]);
        assert!(renew("steps", &mut steps));
        let now = json!([{
            "key": "a", "confirmation": "verified", "anchor": { "anchor": "birth" },
            "repeat": { "end": { "anchor": "weaning" }, "days": 14 },
        }]);
        assert_eq!(steps, now);
        assert!(!renew("steps", &mut steps), "what has them stays as it is");
        assert_eq!(steps, now);
    }

    #[test]
    fn a_row_of_before_is_named_as_now() {
        let row =
            json!({ "at": "2026-05-15T03:40:00Z", "event": { "kind": "given", "what": "x" } });
        let Value::Object(row) = row else { unreachable!("an object") };
        let now = named_now(&[("at", "happened_at")], row);
        let event = json!({ "kind": "given", "remedy": "x" });
        assert_eq!(now["event"], event);
        assert!(now.contains_key("happened_at") && !now.contains_key("at"));
    }
}
