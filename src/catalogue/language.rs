//! Languages, and which one is spoken now.

use pin_project_lite::pin_project;
use serde::{Deserialize, Serialize};
use std::{
    cell::Cell,
    future::Future,
    pin::Pin,
    task::{Context, Poll},
};
use utoipa::ToSchema;

/// A language that the service speaks.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    ToSchema,
)]
pub enum Language {
    /// English, which each text has: what is not translated is said in it.
    #[default]
    #[serde(rename = "en")]
    English,
    /// German.
    #[serde(rename = "de")]
    German,
}

impl Language {
    /// All, the first for who asks for none of them.
    pub const ALL: [Self; 2] = [Self::English, Self::German];

    /// Its tag (BCP 47).
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
        }
    }

    /// The one of a tag or of a longer one that begins with it, `de-AT` say.
    pub fn of_tag(tag: &str) -> Option<Self> {
        let main = tag.split(['-', '_']).next().unwrap_or(tag);
        Self::ALL.into_iter().find(|language| language.tag().eq_ignore_ascii_case(main))
    }

    /// The one that an `Accept-Language` (RFC 9110, 12.5.4) wants most, English when it wants none.
    ///
    /// Of equal wishes the first; `*` is whichever, so English; what is refused by `q=0` is not taken.
    pub fn accepted(header: &str) -> Self {
        let mut best: Option<(Self, f32)> = None;
        for wish in header.split(',') {
            let mut parts = wish.split(';').map(str::trim);
            let tag = parts.next().unwrap_or_default();
            let weight = parts
                .find_map(|part| part.strip_prefix("q="))
                .map_or(1.0, |q| q.parse::<f32>().unwrap_or(0.0));
            let language = if tag == "*" { Some(Self::English) } else { Self::of_tag(tag) };
            let Some(language) = language else { continue };
            if weight > 0.0 && best.is_none_or(|(_, most)| weight > most) {
                best = Some((language, weight));
            }
        }
        best.map_or(Self::English, |(language, _)| language)
    }
}

thread_local! {
    static SPOKEN: Cell<Language> = const { Cell::new(Language::English) };
}

/// The language that texts are written in now, on this thread.
pub fn spoken() -> Language {
    SPOKEN.get()
}

/// Puts the language of before back, also when the work breaks off.
struct Before(Language);

impl Drop for Before {
    fn drop(&mut self) {
        SPOKEN.set(self.0);
    }
}

/// Does something while a language is spoken.
pub fn speaking<T>(language: Language, work: impl FnOnce() -> T) -> T {
    let _before = Before(SPOKEN.replace(language));
    work()
}

pin_project! {
    /// A future within which a language is spoken, on whichever thread it goes on.
    pub struct Speaking<F> {
        language: Language,
        #[pin]
        work: F,
    }
}

impl<F> Speaking<F> {
    /// `work`, with `language` spoken in it.
    pub fn new(language: Language, work: F) -> Self {
        Self { language, work }
    }
}

impl<F: Future> Future for Speaking<F> {
    type Output = F::Output;

    fn poll(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<F::Output> {
        let this = self.project();
        speaking(*this.language, || this.work.poll(context))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_language_wanted_most_is_spoken() {
        for (header, language) in [
            ("", Language::English),
            ("de", Language::German),
            ("DE-at", Language::German),
            ("fr, de;q=0.5", Language::German),
            ("en;q=0.4, de;q=0.5", Language::German),
            ("en;q=0.5, de;q=0.5", Language::English),
            ("de;q=0", Language::English),
            ("fr", Language::English),
            ("*, de;q=0.9", Language::English),
            ("de;q=x", Language::English),
        ] {
            assert_eq!(Language::accepted(header), language, "{header}");
        }
    }

    #[test]
    fn what_was_spoken_before_is_spoken_after() {
        speaking(Language::German, || {
            assert_eq!(spoken(), Language::German);
            let broken = std::panic::catch_unwind(|| speaking(Language::English, || panic!()));
            assert!(broken.is_err());
            assert_eq!(spoken(), Language::German);
        });
        assert_eq!(spoken(), Language::English);
    }
}
