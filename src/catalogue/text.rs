//! A text that becomes words when it is written.

use crate::{Language, Value, bundles, spoken, value};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::{
    fmt::{self, Write as _},
    sync::{Arc, OnceLock},
};

/// Something said to a person: an entry of the catalogue with what stands in it.
///
/// It is written (`Display`, `Serialize`) in the language that is spoken at that moment.
#[derive(Clone)]
pub struct Text(Arc<Entry>);

/// What is said, and its words in the language in which they were written first: what is kept is written more than once.
struct Entry {
    kind: Kind,
    words: OnceLock<(Language, Box<str>)>,
}

#[derive(PartialEq)]
enum Kind {
    Said { id: &'static str, with: Vec<(&'static str, Value)> },
    Keyed { group: &'static str, key: String, english: String },
    Verbatim(String),
    Joined(Vec<Text>),
    GoingOn(Text),
}

impl PartialEq for Text {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0.kind == other.0.kind
    }
}

// A figure in a text is never "not a number".
impl Eq for Text {}

impl Text {
    fn of(kind: Kind) -> Self {
        Self(Arc::new(Entry { kind, words: OnceLock::new() }))
    }

    /// The entry `id`, with values by name. Say it by [`crate::said!`].
    pub fn said(id: &'static str, with: Vec<(&'static str, Value)>) -> Self {
        Self::of(Kind::Said { id, with })
    }

    /// What a table of the trade calls something, `english` there, by its key in it: its entry in another
    /// language is `GROUP-KEY`, each dot of the key a `-`.
    pub fn keyed(group: &'static str, key: &str, english: impl Into<String>) -> Self {
        Self::of(Kind::Keyed { group, key: key.to_owned(), english: english.into() })
    }

    /// What a person or another program wrote: the same in each language.
    pub fn verbatim(words: impl Into<String>) -> Self {
        Self::of(Kind::Verbatim(value::shown(words.into())))
    }

    /// Sentences one after the other.
    pub fn sentences(texts: impl IntoIterator<Item = Self>) -> Self {
        Self::of(Kind::Joined(texts.into_iter().collect()))
    }

    /// The same as it goes on after a colon: with a small letter first, in a language that has it so.
    #[must_use]
    pub fn going_on(self) -> Self {
        Self::of(Kind::GoingOn(self))
    }

    /// Its entry in the catalogue; none of what is verbatim or of several sentences.
    pub fn id(&self) -> Option<&'static str> {
        match &self.0.kind {
            Kind::Said { id, .. } => Some(id),
            _ => None,
        }
    }

    /// What stands in it by name.
    pub fn values(&self) -> &[(&'static str, Value)] {
        match &self.0.kind {
            Kind::Said { with, .. } => with,
            _ => &[],
        }
    }

    /// Whether its words hold these, in the language that is spoken.
    pub fn contains(&self, words: &str) -> bool {
        self.to_string().contains(words)
    }

    /// Whether nothing is said.
    pub fn is_empty(&self) -> bool {
        match &self.0.kind {
            Kind::Said { .. } | Kind::Keyed { .. } => false,
            Kind::Verbatim(words) => words.is_empty(),
            Kind::Joined(texts) => texts.iter().all(Self::is_empty),
            Kind::GoingOn(text) => text.is_empty(),
        }
    }
}

impl Entry {
    /// Writes its words, which are put together where they are not known in the language that is spoken.
    fn write_once(
        &self,
        f: &mut fmt::Formatter<'_>,
        put_together: impl FnOnce(Language) -> String,
    ) -> fmt::Result {
        let language = spoken();
        match self.words.get() {
            Some((known, words)) if *known == language => f.write_str(words),
            Some(_) => f.write_str(&put_together(language)),
            None => {
                let words = put_together(language).into_boxed_str();
                f.write_str(&words)?;
                // Where another thread was first, in whatever language, its words stay.
                let _ = self.words.set((language, words));
                Ok(())
            }
        }
    }
}

impl Default for Text {
    fn default() -> Self {
        Self::verbatim("")
    }
}

impl fmt::Display for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.0.kind {
            Kind::Said { id, with } => {
                self.0.write_once(f, |language| bundles::written(language, id, with))
            }
            Kind::Keyed { group, key, english } => self.0.write_once(f, |language| {
                bundles::keyed(language, group, key).unwrap_or_else(|| english.clone())
            }),
            Kind::Verbatim(words) => f.write_str(words),
            Kind::Joined(texts) => {
                for (place, text) in texts.iter().filter(|text| !text.is_empty()).enumerate() {
                    if place > 0 {
                        f.write_str(" ")?;
                    }
                    write!(f, "{text}")?;
                }
                Ok(())
            }
            Kind::GoingOn(text) => {
                let words = text.to_string();
                f.write_str(&match spoken() {
                    Language::English => lower_first(&words),
                    // Nouns are written large wherever they stand, and a title begins with one.
                    Language::German => words,
                })
            }
        }
    }
}

/// A title as it goes on after a colon; names in capitals stay as they are.
fn lower_first(title: &str) -> String {
    let mut letters = title.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if !second.is_uppercase() && second.is_alphabetic() => {
            first.to_lowercase().chain(title.chars().skip(1)).collect()
        }
        _ => title.to_owned(),
    }
}

impl fmt::Debug for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.to_string())
    }
}

// A text says why something failed, wherever an error is asked for.
impl std::error::Error for Text {}

impl From<String> for Text {
    fn from(words: String) -> Self {
        Self::verbatim(words)
    }
}

impl From<&str> for Text {
    fn from(words: &str) -> Self {
        Self::verbatim(words)
    }
}

/// What is left of words, as they are written anew.
struct Rest<'a>(&'a str);

impl fmt::Write for Rest<'_> {
    fn write_str(&mut self, part: &str) -> fmt::Result {
        self.0 = self.0.strip_prefix(part).ok_or(fmt::Error)?;
        Ok(())
    }
}

impl PartialEq<str> for Text {
    fn eq(&self, words: &str) -> bool {
        let mut rest = Rest(words);
        write!(rest, "{self}").is_ok() && rest.0.is_empty()
    }
}

impl PartialEq<&str> for Text {
    fn eq(&self, words: &&str) -> bool {
        self == *words
    }
}

impl Serialize for Text {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// What was written once is read as it was written.
impl<'de> Deserialize<'de> for Text {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer).map(Self::verbatim)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::speaking;

    #[test]
    fn what_is_kept_is_written_in_the_language_of_each_moment() {
        let text = Text::said("label-litter", Vec::new());
        let english = text.to_string();
        let german = speaking(Language::German, || text.to_string());
        assert_ne!(english, german);
        for _ in 0..2 {
            assert_eq!(speaking(Language::German, || text.clone().to_string()), german);
            assert_eq!(text.clone().to_string(), english);
        }
        let first_in_german = Text::said("label-litter", Vec::new());
        speaking(Language::German, || assert_eq!(first_in_german, german.as_str()));
        assert_eq!(first_in_german, english.as_str());
        assert_eq!(first_in_german, text);
    }

    #[test]
    fn a_title_goes_on_small_where_the_language_has_it_so() {
        for (title, goes_on) in
            [("Clean the pen", "clean the pen"), ("X-ray", "X-ray"), ("MDR1", "MDR1"), ("", "")]
        {
            let text = Text::verbatim(title).going_on();
            assert_eq!(text, goes_on);
            speaking(Language::German, || assert_eq!(text, title));
        }
    }
}
