//! A file with its changes behind switches.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::ops::Range;

use crate::places::{Way, places};
use crate::{Change, Genre, Position};

/// The text with a switch for each change, and the numbers of those that no switch can stand before.
///
/// # Errors
/// When the text is no Rust.
pub fn with_switches(text: &str, changes: &[Change]) -> Result<(String, Vec<u32>), syn::Error> {
    let lines = Lines::of(text);
    let mut asked: BTreeMap<(Genre, usize), Vec<&Change>> = BTreeMap::new();
    for change in changes {
        asked.entry((change.genre, lines.byte(change.span.start))).or_default().push(change);
    }
    let (mut sites, mut written) = (Sites::new(), BTreeSet::new());
    for place in places(&syn::parse_file(text)?) {
        let key = (place.genre, place.replaced.start);
        for change in asked.remove(&key).unwrap_or_default() {
            written.insert(change.id);
            let range = match &place.way {
                Way::Twice(whole) => whole.clone(),
                Way::Early(at) | Way::Unless(at) => *at..*at,
            };
            let site = sites.entry(key_of(&range)).or_insert_with(|| Site::at(range));
            site.take(change, &place.way, place.replaced.clone());
        }
    }
    let sites: Vec<Site> = sites.into_values().collect();
    let left_out = changes.iter().map(|change| change.id).filter(|id| !written.contains(id));
    Ok((switched(text, 0..text.len(), &sites), left_out.collect()))
}

/// Sites by where they begin: what is put in before what begins there, outer ones before inner ones.
type Sites = BTreeMap<(usize, bool, Reverse<usize>), Site>;

fn key_of(range: &Range<usize>) -> (usize, bool, Reverse<usize>) {
    (range.start, !range.is_empty(), Reverse(range.end))
}

/// An expression that is there once more for each of its changes, or where something is put in.
struct Site {
    range: Range<usize>,
    put_in: String,
    edits: Vec<Edit>,
}

struct Edit {
    id: u32,
    replaced: Range<usize>,
    replacement: String,
}

impl Site {
    fn at(range: Range<usize>) -> Self {
        Self { range, put_in: String::new(), edits: Vec::new() }
    }

    fn take(&mut self, change: &Change, way: &Way, replaced: Range<usize>) {
        let Change { id, replacement, .. } = change;
        let marked = format!("/*<{id}*/{replacement}/*{id}>*/");
        // Writing to a string cannot fail.
        let _ = match way {
            Way::Twice(_) => {
                let replacement = replacement.clone();
                return self.edits.push(Edit { id: *id, replaced, replacement });
            }
            Way::Early(_) => {
                write!(self.put_in, "if crate::change_is_on({id}) {{ return {marked}; }} ")
            }
            Way::Unless(_) => {
                write!(self.put_in, " if /*<{id}*/!crate::change_is_on({id})/*{id}>*/")
            }
        };
    }
}

/// The text of a range with the sites within it, which begin in this order.
fn switched(text: &str, range: Range<usize>, sites: &[Site]) -> String {
    let (mut out, mut at, mut rest) = (String::new(), range.start, sites);
    while let Some((site, after)) = rest.split_first() {
        let inside = after.iter().take_while(|other| other.range.start < site.range.end).count();
        let (inside, after) = after.split_at(inside);
        out.push_str(&text[at..site.range.start]);
        out.push_str(&site.put_in);
        if !site.range.is_empty() {
            out.push_str(&twice(text, site, inside));
        }
        (at, rest) = (site.range.end, after);
    }
    out.push_str(&text[at..range.end]);
    out
}

/// An expression with each of its changes behind a switch; what is inside of it has its own switches where none of
/// these is on. It comes first, so that the compiler blames the changed one where their types differ.
fn twice(text: &str, site: &Site, inside: &[Site]) -> String {
    let Range { start, end } = site.range;
    let ids: Vec<String> = site.edits.iter().map(|edit| edit.id.to_string()).collect();
    let none: Vec<String> = ids.iter().map(|id| format!("!crate::change_is_on({id})")).collect();
    let (ids, none) = (ids.join(","), none.join(" && "));
    let same = switched(text, start..end, inside);
    let mut out = format!("/*[{ids}*/(if {none} {{ ({same}) }}");
    for (place, Edit { id, replaced, replacement }) in site.edits.iter().enumerate() {
        let (before, behind) = (&text[start..replaced.start], &text[replaced.end..end]);
        let changed = format!("/*<{id}*/({before}{replacement}{behind})/*{id}>*/");
        let last = place + 1 == site.edits.len();
        let condition = if last { String::new() } else { format!(" if crate::change_is_on({id})") };
        // Writing to a string cannot fail.
        let _ = write!(out, " else{condition} {{ {changed} }}");
    }
    out.push_str(")/*]*/");
    out
}

/// Where the lines of a text begin.
struct Lines<'a> {
    text: &'a str,
    begin: Vec<usize>,
}

impl<'a> Lines<'a> {
    fn of(text: &'a str) -> Self {
        let begin = [0].into_iter().chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, begin }
    }

    /// The byte at a place that is told by line and character.
    fn byte(&self, at: Position) -> usize {
        let begin = self.begin.get(at.line - 1).copied().unwrap_or(self.text.len());
        let line = &self.text[begin..];
        let within = line.char_indices().nth(at.column - 1).map_or(line.len(), |(byte, _)| byte);
        begin + within
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Span;

    fn change(id: u32, genre: Genre, at: (usize, usize), replacement: &str) -> Change {
        let start = Position { line: at.0, column: at.1 };
        let span = Span { start, end: start };
        let (file, replacement) = ("f.rs".to_owned(), replacement.to_owned());
        Change { id, file, genre, span, replacement }
    }

    /// The text without comments, and what is left out.
    fn tried(text: &str, changes: &[Change]) -> (String, Vec<u32>) {
        let (mut text, left_out) = with_switches(text, changes).unwrap();
        syn::parse_file(&text).unwrap();
        while let Some(from) = text.find("/*") {
            let to = text[from..].find("*/").unwrap();
            text.replace_range(from..from + to + 2, "");
        }
        (text.replace("crate::change_is_on", "on"), left_out)
    }

    #[test]
    fn operators_one_inside_another_have_switches_of_their_own() {
        let changes = [
            change(1, Genre::BinaryOperator, (1, 24), "-"),
            change(2, Genre::BinaryOperator, (1, 28), "/"),
            change(3, Genre::BinaryOperator, (1, 28), "+"),
        ];
        let (_, left_out) = tried("fn f(ü: i8) -> u8 { ü +  ü * 3 }", &changes);
        assert_eq!(left_out, [1], "columns count characters");
        let (text, left_out) = tried("fn f(ü: i8) -> u8 { ü  + ü * 3 }", &changes);
        assert_eq!(left_out, [0; 0]);
        assert_eq!(
            text,
            "fn f(ü: i8) -> u8 { (if !on(1) { (ü  + (if !on(2) && !on(3) { (ü * 3) } \
             else if on(2) { (ü / 3) } else { (ü + 3) })) } else { (ü  - ü * 3) }) }"
        );
    }

    #[test]
    fn bodies_arms_conditions_and_fields_are_switched() {
        let text = "fn f() -> S {\nmatch 1 {\n1 => a(),\nx if x > 2 => b(),\n_ => S { a: 1, b: 2, ..c() },\n}\n}";
        let changes = [
            change(1, Genre::FnValue, (2, 1), "d()"),
            change(2, Genre::MatchArm, (3, 1), ""),
            change(3, Genre::MatchArmGuard, (4, 6), "true"),
            change(4, Genre::BinaryOperator, (4, 8), "<"),
            change(5, Genre::StructField, (5, 10), ""),
            change(6, Genre::StructField, (5, 16), ""),
        ];
        let (text, left_out) = tried(text, &changes);
        assert_eq!(left_out, [0; 0]);
        assert_eq!(
            text,
            "fn f() -> S {\nif on(1) { return d(); } match 1 {\n1 if !on(2) => a(),\n\
             x if (if !on(3) && !on(4) { (x > 2) } else if on(3) { (true) } else { (x < 2) }) => b(),\n\
             _ => (if !on(5) && !on(6) { (S { a: 1, b: 2, ..c() }) } \
             else if on(5) { (S {  b: 2, ..c() }) } else { (S { a: 1,  ..c() }) }),\n}\n}"
        );
    }

    #[test]
    fn what_no_switch_can_stand_before_is_told() {
        let text = "const A: u8 = 1 + 2;\nconst fn f() -> bool { !true }\nfn g(a: Option<u8>) -> bool { if let Some(b) = a && b > 1 { b == 2 } else { true } }\nfn h() -> impl Sized { 1 }";
        let changes = [
            change(1, Genre::BinaryOperator, (1, 17), "-"),
            change(2, Genre::UnaryOperator, (2, 24), ""),
            change(3, Genre::BinaryOperator, (3, 50), "||"),
            change(4, Genre::BinaryOperator, (3, 55), "<"),
            change(5, Genre::FnValue, (4, 24), "2"),
        ];
        let (text, left_out) = tried(text, &changes);
        assert_eq!(left_out, [1, 2, 3, 5]);
        assert!(text.contains("if let Some(b) = a && (if !on(4) { (b > 1) } else { (b < 1) }) {"));
    }
}
