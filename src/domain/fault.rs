//! What is wrong with something a client sent: all faults at once, up to a number, each in brief.

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
    /// What is wrong and what would be accepted.
    #[schema(example = "is after today (2026-03-01); give the day the dog was born")]
    pub detail: String,
}

impl Fault {
    /// The fault as it is answered: names that the client chose are cut, and nothing is long.
    #[must_use]
    pub fn in_brief(self) -> Self {
        let pointer = match self.pointer.len() > LONGEST_QUOTE {
            true => {
                let names: Vec<String> = self.pointer.split('/').map(cut).collect();
                cut_to(&names.join("/"), LONGEST_POINTER)
            }
            false => self.pointer,
        };
        Self { pointer, detail: cut_to(&self.detail, LONGEST_DETAIL) }
    }
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
    pub fn add(&mut self, pointer: impl Into<String>, detail: impl Into<String>) {
        if self.0.len() <= MOST_TOLD {
            self.0.push(Fault { pointer: pointer.into(), detail: detail.into() });
        }
    }

    /// Adds a fault at `pointer` unless `holds`.
    pub fn unless(&mut self, holds: bool, pointer: &str, detail: impl FnOnce() -> String) {
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
        let fault = Fault { pointer, detail: long.clone() }.in_brief();
        assert_eq!(fault.pointer, format!("/registrations/0/{}…", &long[..40]));
        assert_eq!(fault.detail.chars().count(), LONGEST_DETAIL + 1);
        let fault = Fault { pointer: "/a".repeat(10_000), detail: String::new() }.in_brief();
        assert_eq!(fault.pointer.chars().count(), LONGEST_POINTER + 1);
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
