//! What a parser found wrong with a value, in words of ours: a library's own text reaches nobody.

use catalogue::{Text, Value, said};
use domain::fault::{in_brief, near};

/// What a value was to be, as parsers call it, and as we do.
fn wanted(theirs: &str) -> Option<Text> {
    let is_whole = theirs
        .strip_prefix(['i', 'u'])
        .is_some_and(|width| width == "size" || width.parse::<u8>().is_ok());
    Some(match theirs {
        _ if is_whole => said!("type-integer"),
        "f32" | "f64" => said!("type-number"),
        "a boolean" => said!("type-boolean"),
        "a string" | "a borrowed string" | "a character" => said!("type-string"),
        "a formatted date string" => said!("format-date"),
        "a formatted time string" => said!("format-time"),
        _ if theirs.contains("date and time") => said!("format-date-time"),
        _ if theirs.contains("UUID") => said!("format-uuid"),
        _ if theirs.starts_with("a sequence") || theirs.starts_with("tuple") => {
            said!("type-array")
        }
        _ if theirs.starts_with("struct") || theirs.ends_with("map") => said!("type-object"),
        _ => return None,
    })
}

/// What a parser of dates or numbers says of a text that it cannot read.
fn of_a_text(message: &str) -> Option<Text> {
    Some(match message {
        "provided string was not `true` or `false`" => said!("fault-wrong-type-truth"),
        "invalid digit found in string" | "cannot parse integer from empty string" => {
            said!("fault-wrong-type-whole-number")
        }
        "number too large to fit in target type" | "number too small to fit in target type" => {
            said!("fault-out-of-range-number")
        }
        "invalid float literal" | "cannot parse float from empty string" => {
            said!("fault-wrong-type-figure")
        }
        "input is out of range"
        | "no possible date and time matching input"
        | "input is not enough for unique date and time"
        | "input contains invalid characters"
        | "premature end of input"
        | "trailing input"
        | "bad or unsupported format string" => said!("fault-malformed-day-or-time"),
        _ if message.starts_with("UUID parsing failed") => said!("fault-malformed-uuid"),
        _ if message.starts_with("data did not match any variant") => {
            said!("fault-malformed-value-untold")
        }
        _ => return None,
    })
}

/// The names that a parser tells as known: `` `a` ``, `` `a` or `b` ``, ``one of `a`, `b` ``.
fn names(list: &str) -> Vec<&str> {
    list.split('`').skip(1).step_by(2).collect()
}

/// What is named and what is known in ``… `named`, expected `a` or `b` ``.
fn named<'m>(message: &'m str, begin: &str) -> Option<(&'m str, Vec<&'m str>)> {
    let rest = message.strip_prefix(begin)?.strip_prefix('`')?;
    // What is known is ours, what is named may hold anything.
    let ends = ["`, expected ", "`, there are no "];
    match ends.iter().filter_map(|end| rest.rfind(end)).max() {
        Some(end) => Some((&rest[..end], names(&rest[end + 1..]))),
        None => Some((rest.trim_end_matches('`'), Vec::new())),
    }
}

/// A name that is no field of a body.
pub(crate) fn unknown_field(field: &str, known: &[&str]) -> Text {
    let all = || Value::all(known.iter().copied());
    match near(field, known.iter().copied()) {
        Some(near) => said!("fault-unknown-field-near", near = near, known = all()),
        None if known.is_empty() => said!("fault-unknown-field-untold"),
        None => said!("fault-unknown-field", known = all()),
    }
}

/// A name that is no parameter of a query.
pub(crate) fn unknown_parameter(name: &str, known: &[&str]) -> Text {
    let all = || Value::all(known.iter().copied());
    match near(name, known.iter().copied()) {
        Some(near) => said!("fault-unknown-field-parameter-near", near = near, known = all()),
        None if known.is_empty() => said!("fault-unknown-field-parameter-none"),
        None => said!("fault-unknown-field-parameter", known = all()),
    }
}

/// A word that is none of those that are possible.
pub(crate) fn unknown_word(word: &str, known: &[&str]) -> Text {
    let all = || Value::all(known.iter().copied());
    match near(word, known.iter().copied()) {
        Some(near) => said!("fault-unknown-value-near", near = near, known = all()),
        None => said!("fault-unknown-value", known = all()),
    }
}

/// Something that a parser found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Found {
    /// A name that it does not know, and those that it knows.
    UnknownField(String, Vec<String>),
    /// A name that must be there.
    Missing(String),
    /// A name that is there twice.
    Twice(String),
    /// Something about the value itself.
    Wrong(Text),
}

impl Found {
    /// What stands in a parser's message.
    pub fn of(message: &str) -> Self {
        if let Some((field, known)) = named(message, "unknown field ") {
            return Self::UnknownField(
                field.to_owned(),
                known.into_iter().map(str::to_owned).collect(),
            );
        }
        if let Some((word, known)) = named(message, "unknown variant ") {
            return Self::Wrong(unknown_word(word, &known));
        }
        if let Some((field, _)) = named(message, "missing field ") {
            return Self::Missing(field.to_owned());
        }
        if let Some((field, _)) = named(message, "duplicate field ") {
            return Self::Twice(field.to_owned());
        }
        let is_of_type = message.starts_with("invalid type: ");
        if is_of_type
            || message.starts_with("invalid value: ")
            || message.starts_with("invalid length ")
        {
            let theirs = message.rfind(", expected ").map(|at| &message[at + 11..]);
            return Self::Wrong(match theirs.and_then(wanted) {
                Some(expected) if is_of_type => {
                    said!("fault-wrong-type-wanted", expected = expected)
                }
                Some(expected) => said!("fault-malformed-wanted", expected = expected),
                None => said!("fault-malformed-value-untold"),
            });
        }
        // All else is what a type of ours says when it is made of a text.
        let ours = || said!("fault-malformed-as-said", what = in_brief(message));
        Self::Wrong(of_a_text(message).unwrap_or_else(ours))
    }

    /// What is said of it in a body; the field that it is about where that is not the place.
    pub(crate) fn in_body(self) -> (Option<String>, Text) {
        match self {
            Self::UnknownField(field, known) => {
                let known: Vec<&str> = known.iter().map(String::as_str).collect();
                let detail = unknown_field(&field, &known);
                (Some(field), detail)
            }
            Self::Missing(field) => (Some(field), said!("fault-missing-field")),
            Self::Twice(field) => (Some(field), said!("fault-twice-field")),
            Self::Wrong(detail) => (None, detail),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn detail(message: &str) -> String {
        Found::of(message).in_body().1.to_string()
    }

    #[test]
    fn nothing_of_a_library_is_told() {
        for (message, ours) in [
            ("invalid type: string \"x\", expected i64", "must be a whole number"),
            ("invalid type: string \", expected u8\", expected f64", "must be a number"),
            ("invalid digit found in string", "is no whole number"),
            ("provided string was not `true` or `false`", "must be true or false"),
            (
                "trailing input",
                "cannot be read as a day or time; write it as 2026-05-17 or 2026-05-17T04:10:00+02:00",
            ),
            (
                "UUID parsing failed: invalid length: found 2",
                "is not an id; give the UUID of the row",
            ),
            ("unknown variant `both`, expected `female` or `male`", "is none of female and male"),
            (
                "unknown variant `femal`, expected `female` or `male`",
                "is none of female and male; did you mean \"female\"?",
            ),
            ("must not be empty", "must not be empty"),
        ] {
            assert_eq!(detail(message), ours, "{message}");
        }
    }

    #[test]
    fn a_name_is_found_whatever_it_holds() {
        let known = || vec!["sex".to_owned(), "name".to_owned()];
        for (message, field) in [
            ("unknown field `sx`, expected `sex` or `name`", "sx"),
            ("unknown field ``, expected `a`, expected `sex` or `name`", "`, expected `a"),
            ("unknown field `a`, `b`, expected one of `sex`, `name`", "a`, `b"),
        ] {
            assert_eq!(Found::of(message), Found::UnknownField(field.to_owned(), known()));
        }
        let none = Found::of("unknown field `a`, there are no fields");
        assert_eq!(none, Found::UnknownField("a".to_owned(), Vec::new()));
        assert_eq!(Found::of("missing field `sex`"), Found::Missing("sex".to_owned()));
        assert_eq!(Found::of("duplicate field `sex`"), Found::Twice("sex".to_owned()));
    }
}
