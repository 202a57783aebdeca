//! Words of a coat's description, one clause at a time.

use super::{Table, Trait};

/// What stands between two commas of a text: its words in small letters.
#[derive(Debug)]
pub(super) struct Clause {
    words: Vec<String>,
    written: String,
}

/// How many words before a trait's own may deny it.
const DENIED_WITHIN: usize = 3;

impl Clause {
    /// The clauses of a text.
    pub fn split(text: &str) -> Vec<Self> {
        let ends = |c: char| matches!(c, ',' | ';' | '.' | '(' | ')' | '\n');
        let clauses = text.split(ends).map(|part| Self {
            words: part
                .split(|c: char| !c.is_alphanumeric())
                .filter(|word| !word.is_empty())
                .map(str::to_lowercase)
                .collect(),
            written: part.trim().to_owned(),
        });
        clauses.filter(|clause| !clause.words.is_empty()).collect()
    }

    /// The clause as written, if it says that the dog has the trait.
    pub(crate) fn speaks_of(&self, one: &Trait, table: &Table) -> Option<String> {
        let excluded = self.words.iter().any(|word| one.not_with.contains(word));
        let says = !excluded
            && one.words.iter().any(|wanted| {
                self.places(wanted, table)
                    .into_iter()
                    .any(|(from, to)| !self.denied(from, to, table))
            });
        says.then(|| self.written.clone())
    }

    /// Whether any of the words stands in the clause.
    pub(crate) fn has_any(&self, words: &[String], table: &Table) -> bool {
        words.iter().any(|wanted| !self.places(wanted, table).is_empty())
    }

    /// Where a word, or several in a row, stand: from the first to behind the last.
    fn places(&self, wanted: &str, table: &Table) -> Vec<(usize, usize)> {
        let parts: Vec<&str> = wanted.split(' ').collect();
        let found = self.words.windows(parts.len()).enumerate();
        found
            .filter(|(_, words)| {
                words.iter().zip(&parts).all(|(word, part)| joined(word, part, table))
            })
            .map(|(at, words)| (at, at + words.len()))
            .collect()
    }

    fn denied(&self, from: usize, to: usize, table: &Table) -> bool {
        let before = &self.words[from.saturating_sub(DENIED_WITHIN)..from];
        before.iter().any(|word| table.denied_before.contains(word))
            || self.words.get(to).is_some_and(|word| table.denied_after.contains(word))
    }
}

/// Whether `word` is `wanted`, with a known beginning and ending at most.
fn joined(word: &str, wanted: &str, table: &Table) -> bool {
    let is_in = |list: &[String], part: &str| part.is_empty() || list.iter().any(|one| one == part);
    word.match_indices(wanted).any(|(at, _)| {
        let (before, after) = (&word[..at], &word[at + wanted.len()..]);
        is_in(&table.joined_before, before) && is_in(&table.joined_after, after)
    })
}
