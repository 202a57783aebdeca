//! What is wrong with something a client sent: all faults at once, up to a number, each in brief.

mod code;
mod near;

pub use code::FaultCode;
pub use near::near;

use crate::advice::Params;
use catalogue::{Text, Value};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Most faults that one answer tells; more than these help nobody, and make a small request's answer
/// a large one.
pub const MOST_TOLD: usize = 50;
/// Most characters of a client's value or name that an answer repeats.
pub const LONGEST_QUOTE: usize = 40;
/// Most characters of a detail: the longest of our own, with what it quotes.
const LONGEST_DETAIL: usize = 600;
/// Most characters of a pointer: the deepest place of a body, each name as long as may be.
const LONGEST_POINTER: usize = 400;

/// One fault of the input and the place where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Fault {
    /// JSON pointer (RFC 6901) into the body, or `#query/name`, `#path/name`, `#header/name`, `#line/7`.
    #[schema(example = "/born_on")]
    pub pointer: String,
    /// What kind of thing is wrong: a word that stays.
    pub code: FaultCode,
    /// What stands in the detail by name, for who says it in their own words.
    #[schema(value_type = Object, example = json!({"today": "2026-03-01"}))]
    pub params: Params,
    /// What is wrong and what would be accepted.
    #[schema(value_type = String, example = "is after today (2026-03-01); give the day the dog was born")]
    pub detail: Text,
}

impl Fault {
    /// A fault at `pointer`, as an entry of the catalogue says it: `said!("fault-CODE-what", ...)`.
    pub fn new(pointer: impl Into<String>, detail: impl Into<Text>) -> Self {
        let detail = detail.into();
        let code = detail.id().and_then(FaultCode::of_entry).unwrap_or(FaultCode::Ours);
        let params = detail.values().iter().map(|(name, value)| param(name, value)).collect();
        Self { pointer: pointer.into(), code, params, detail }
    }

    /// The same at its place within a member of the body.
    #[must_use]
    pub fn within(self, member: &str) -> Self {
        Self { pointer: format!("{member}{}", self.pointer), ..self }
    }

    /// The same with what it is about before its words: `"spring"` before `is not a date`. Code and figures
    /// stay.
    #[must_use]
    pub fn about(self, subject: impl Into<Text>) -> Self {
        Self { detail: Text::sentences([subject.into(), self.detail]), ..self }
    }

    /// The fault as it is answered: names that the client chose are cut, and nothing is long.
    #[must_use]
    pub fn in_brief(self) -> Self {
        let pointer = match self.pointer.len() > LONGEST_QUOTE {
            true => {
                let names: Vec<String> = self.pointer.split('/').map(cut).collect();
                cut_to(&names.join("/"), LONGEST_POINTER)
            }
            false => self.pointer.clone(),
        };
        let detail = self.detail.to_string();
        let detail = match detail.chars().nth(LONGEST_DETAIL) {
            Some(_) => Text::verbatim(cut_to(&detail, LONGEST_DETAIL)),
            None => self.detail.clone(),
        };
        Self { pointer, detail, ..self }
    }
}

/// A value by name, no longer than a detail may be.
fn param(name: &str, value: &Value) -> (String, serde_json::Value) {
    let value = match value.to_json() {
        serde_json::Value::String(text) => cut_to(&text, LONGEST_DETAIL).into(),
        other => other,
    };
    (name.to_owned(), value)
}

/// A client's text as an answer may repeat it: its first [`LONGEST_QUOTE`] characters.
pub fn cut(text: &str) -> String {
    cut_to(text, LONGEST_QUOTE)
}

/// The same in quotation marks, with what cannot be seen written out.
pub fn quoted(text: &str) -> String {
    format!("{:?}", cut(text))
}

fn cut_to(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// A message without what it quotes, for the log: names of our own, but a client's values as well.
///
/// All from the first mark to the last goes, since a value may hold marks of its own.
pub fn unquoted(message: &str) -> String {
    const MARKS: [char; 2] = ['"', '`'];
    match (message.find(MARKS), message.rfind(MARKS)) {
        (Some(first), Some(last)) if first < last => {
            format!("{}\"…\"{}", &message[..first], &message[last + 1..])
        }
        (Some(first), _) => format!("{}\"…\"", &message[..first]),
        (None, _) => message.to_owned(),
    }
}

/// A message of a parser, which repeats what it could not read, with that cut.
///
/// Parsers write `invalid type: string "…", expected a number` and ``unknown field `…`, expected one of
/// `a`, `b` ``: what stands behind the last `, expected` is ours, what is quoted before is not.
pub fn in_brief(message: &str) -> String {
    let (theirs, ours) = match message.rfind(", expected") {
        Some(at) => message.split_at(at),
        None => (message, ""),
    };
    match theirs.find(['"', '`', '\'']) {
        Some(at) if theirs[at..].chars().count() > LONGEST_QUOTE + 2 => {
            format!("{}{}{ours}", &theirs[..at], cut(&theirs[at..]))
        }
        Some(_) => message.to_owned(),
        None => format!("{}{ours}", cut_to(theirs, 2 * LONGEST_QUOTE)),
    }
}

/// A list of [`Fault`]s under construction; it keeps one more than are told, to say that there are more.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// No fault yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a fault at `pointer`.
    pub fn add(&mut self, pointer: impl Into<String>, detail: impl Into<Text>) {
        if self.0.len() <= MOST_TOLD {
            self.0.push(Fault::new(pointer, detail));
        }
    }

    /// Adds a fault at `pointer` unless `holds`.
    pub fn unless<T: Into<Text>>(
        &mut self,
        holds: bool,
        pointer: &str,
        detail: impl FnOnce() -> T,
    ) {
        if !holds {
            self.add(pointer, detail());
        }
    }

    /// Adds faults that were found elsewhere.
    pub fn extend(&mut self, faults: Vec<Fault>) {
        let left = (MOST_TOLD + 1).saturating_sub(self.0.len());
        self.0.extend(faults.into_iter().take(left));
    }

    /// Takes out those from `start` on that `keep` does not want.
    pub fn retain_from(&mut self, start: usize, mut keep: impl FnMut(&Fault) -> bool) {
        let later = self.0.split_off(start.min(self.0.len()));
        self.0.extend(later.into_iter().filter(|fault| keep(fault)));
    }

    /// How many there are, up to one more than are told.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nothing is wrong so far.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// `Ok` when there is no fault, else all of them.
    ///
    /// # Errors
    /// The faults collected.
    pub fn into_result(self) -> Result<(), Vec<Fault>> {
        if self.0.is_empty() { Ok(()) } else { Err(self.0) }
    }

    /// The faults collected.
    pub fn into_vec(self) -> Vec<Fault> {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, said, speaking};
    use serde_json::json;

    #[test]
    fn what_is_quoted_has_forty_characters() {
        assert_eq!(cut(&"ü".repeat(40)), "ü".repeat(40));
        assert_eq!(cut(&"ü".repeat(41)), format!("{}…", "ü".repeat(40)));
        assert_eq!(quoted("a\nb"), "\"a\\nb\"");
    }

    #[test]
    fn a_parsers_message_keeps_what_is_ours() {
        let long = "x".repeat(1000);
        for (message, brief) in [
            ("unknown field `colour`, expected `sex`", "unknown field `colour`, expected `sex`"),
            ("missing field `sex`", "missing field `sex`"),
            ("invalid digit found in string", "invalid digit found in string"),
        ] {
            assert_eq!(in_brief(message), brief);
        }
        for message in [
            format!("unknown variant `{long}`, expected `female` or `male`"),
            format!("unknown variant `, expected {long}`, expected `female` or `male`"),
            format!("invalid type: string \"{long}\", expected a day"),
            format!("'{long}' is not a valid time zone"),
            long.clone(),
        ] {
            let brief = in_brief(&message);
            assert!(brief.matches('x').count() <= 2 * LONGEST_QUOTE, "{brief}");
            assert_eq!(brief.ends_with("`male`"), message.ends_with("`male`"), "{brief}");
        }
    }

    #[test]
    fn values_stay_out_of_what_is_logged() {
        for (message, told) in [
            ("type uuid: \"hunter2\"", "type uuid: \"…\""),
            ("unknown variant `hunter2`, expected `a`", "unknown variant \"…\""),
            ("type uuid: \"a\" hunter2 \"b\" of a row", "type uuid: \"…\" of a row"),
            ("`hunter2\" hunter2 \"`", "\"…\""),
            ("value \"hunter2", "value \"…\""),
            ("deadlock detected", "deadlock detected"),
        ] {
            assert_eq!(unquoted(message), told);
        }
    }

    #[test]
    fn a_fault_is_answered_in_brief() {
        let long = "x".repeat(1000);
        let pointer = format!("/registrations/0/{long}");
        let fault = Fault::new(pointer, long.as_str()).in_brief();
        assert_eq!(fault.pointer, format!("/registrations/0/{}…", &long[..40]));
        assert_eq!(fault.detail.to_string().chars().count(), LONGEST_DETAIL + 1);
        let fault = Fault::new("/a".repeat(10_000), "").in_brief();
        assert_eq!(fault.pointer.chars().count(), LONGEST_POINTER + 1);
    }

    #[test]
    fn a_fault_about_something_keeps_its_code_and_figures() {
        let detail = said!("fault-too-long-by", length = 201, most = 200);
        let fault = Fault::new("/name", detail).about(quoted("Juno"));
        assert_eq!(fault.detail, "\"Juno\" is 201 characters long; 200 is the most");
        assert_eq!((fault.code, &fault.params["most"]), (FaultCode::TooLong, &json!(200)));
        speaking(Language::German, || assert!(fault.detail.contains("\"Juno\" ist 201 Zeichen")));
    }

    #[test]
    fn one_more_is_kept_than_is_told() {
        let mut faults = Faults::new();
        for number in 0..1000 {
            faults.add(format!("/{number}"), "is wrong");
        }
        assert_eq!(faults.len(), MOST_TOLD + 1);
        faults.retain_from(10, |fault| fault.pointer == "/12");
        assert_eq!(faults.len(), 11);
    }
}
