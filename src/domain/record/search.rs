//! What a list is searched for.

use catalogue::{Text, said};
use serde::Deserialize;

/// Longest text that is searched for: half of the longest name is more than enough to find it by.
const LONGEST: usize = 100;

/// What people type to find a row: its words, each of which must be found somewhere in what the row is searched by.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Search(Vec<String>);

impl Search {
    /// The words; none finds every row.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(String::as_str)
    }
}

impl TryFrom<String> for Search {
    type Error = Text;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        if text.chars().count() > LONGEST {
            return Err(said!("fault-too-long-search", most = LONGEST));
        }
        Ok(Self(text.split_whitespace().map(str::to_owned).collect()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        Search::try_from(text.to_owned()).unwrap().words().map(str::to_owned).collect()
    }

    #[test]
    fn words_are_parted_by_any_space() {
        assert_eq!(words("  Juno of\u{a0}Larkfell "), ["Juno", "of", "Larkfell"]);
        assert!(words(" \t").is_empty());
    }

    #[test]
    fn a_hundred_characters_and_not_one_more() {
        assert!(Search::try_from("ü".repeat(99)).is_ok());
        assert!(Search::try_from("ü".repeat(100)).is_ok());
        assert!(Search::try_from("ü".repeat(101)).is_err());
    }
}
