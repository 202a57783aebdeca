//! Which characters a text may hold.
//!
//! Control characters (Unicode's Cc) end a line of a calendar, of a log or of a file where a reader does not
//! expect it; the line and paragraph separators do so in some readers, and overrides of direction show a
//! text as another than it is (Unicode Technical Report 36). No text holds them; one of several lines holds
//! U+000A between them, and nothing else.

use catalogue::{Text, said};
use std::borrow::Cow;

/// Whether a text is one line or several.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lines {
    /// A name, a number, a title.
    One,
    /// A note.
    Several,
}

/// The format by which a schema says that a text may have several lines.
pub const SEVERAL_LINES: &str = "several-lines";

/// Why a text cannot be taken, to follow the name of its field.
///
/// ```
/// use domain::text::{Lines, refused};
/// assert_eq!(refused("Larkfell Juno", Lines::One), None);
/// assert_eq!(refused("slept well\nate at six", Lines::Several), None);
/// assert!(refused("slept well\nate at six", Lines::One).is_some());
/// assert!(refused("slept well\r\nate at six", Lines::Several).is_some());
/// ```
pub fn refused(text: &str, lines: Lines) -> Option<Text> {
    let found = text.chars().find(|character| is_refused(*character, lines))?;
    let code = u32::from(found);
    Some(match (found, lines) {
        ('\n', Lines::One) => said!("fault-malformed-line-break"),
        ('\r', Lines::Several) => said!("fault-malformed-line-end"),
        _ => said!("fault-malformed-character", character = format!("U+{code:04X}")),
    })
}

/// Whether no text of this kind holds the character.
fn is_refused(character: char, lines: Lines) -> bool {
    match character {
        '\n' => lines == Lines::One,
        '\u{2028}' | '\u{2029}' => true,
        // Embeddings, overrides and isolates of direction; the marks U+200E and U+200F, which names in
        // Hebrew and Arabic need, change nothing beside them.
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => true,
        other => other.is_control(),
    }
}

/// A text that was kept before such characters were refused, as one line.
pub fn one_line(text: &str) -> String {
    let plain = |character| if is_refused(character, Lines::One) { ' ' } else { character };
    text.chars().map(plain).collect()
}

/// The same, as lines parted by U+000A.
pub fn several_lines(text: &str) -> String {
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let plain = |character| if is_refused(character, Lines::Several) { ' ' } else { character };
    text.chars().map(plain).collect()
}

/// Characters with which a spreadsheet begins a formula or a command, and their wide forms
/// (OWASP, CSV Injection).
pub(crate) const FORMULA_SIGNS: [char; 11] =
    ['=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];

/// A text as it stands in a cell of a file that people open: with an apostrophe before it when a spreadsheet
/// would run it. What begins with apostrophes before such a sign has one more, so that none is lost.
pub fn as_cell(text: &str) -> Cow<'_, str> {
    if would_run(text) { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

/// The text that a cell stands for: the reverse of [`as_cell`].
///
/// ```
/// use domain::text::{as_cell, from_cell};
/// assert_eq!(from_cell(&as_cell("=1+1")), "=1+1");
/// assert_eq!(from_cell("'t Hoen"), "'t Hoen");
/// ```
pub fn from_cell(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|text| would_run(text)).unwrap_or(cell)
}

fn would_run(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(FORMULA_SIGNS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Whatever text: as a cell it begins no formula, and it comes back as it was.
        #[test]
        fn a_cell_runs_nothing_and_gives_its_text_back(text in "['=+@\t\r\n\u{ff1d}a-]{0,6}") {
            let cell = as_cell(&text);
            prop_assert!(!cell.starts_with(FORMULA_SIGNS));
            prop_assert_eq!(from_cell(&cell), text.as_str());
        }
    }

    #[test]
    fn every_control_character_is_refused_and_a_line_break_only_between_lines() {
        let controls = (0..=0x1f).chain(0x7f..=0x9f);
        let others = (0x2028..=0x202e).chain(0x2066..=0x2069);
        for code in controls.chain(others) {
            let text = format!("Juno{}Larkfell", char::from_u32(code).unwrap());
            assert!(refused(&text, Lines::One).is_some(), "U+{code:04X}");
            assert_eq!(refused(&text, Lines::Several).is_some(), code != 0x0a, "U+{code:04X}");
            assert_eq!(refused(&one_line(&text), Lines::One), None, "U+{code:04X}");
            assert_eq!(refused(&several_lines(&text), Lines::Several), None, "U+{code:04X}");
        }
    }

    #[test]
    fn the_characters_beside_them_are_taken() {
        for code in [0x20, 0x7e, 0xa0, 0x200d, 0x200e, 0x200f, 0x2027, 0x202f, 0x2065, 0x206a] {
            let Some(character) = char::from_u32(code) else { continue };
            assert_eq!(refused(&character.to_string(), Lines::One), None, "U+{code:04X}");
        }
        for name in ["Björk", "Ål & Ærø", "ג׳ונו", "جونو", "犬", "🐕‍🦺", "O'Neill"]
        {
            assert_eq!(refused(name, Lines::One), None, "{name}");
        }
    }

    #[test]
    fn lines_of_other_systems_are_kept_as_lines() {
        assert_eq!(several_lines("a\r\nb\rc\nd"), "a\nb\nc\nd");
        assert_eq!(one_line("a\r\nb"), "a  b");
    }
}
